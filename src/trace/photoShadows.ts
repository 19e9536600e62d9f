import { medianInPlace } from '../geometry/median.ts';
import { distanceTo } from '../geometry/rasterDistance.ts';
import { closed, opened } from '../geometry/rasterMorphology.ts';
import { eachPart } from '../geometry/rasterParts.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import type { OffBackdrop } from './photoBackdrop.ts';

/**
 * Codes rise at a sharp edge between cells next to one, by shares of what they rise by between cells farther out: nearer, where a
 * part's far side may be near, and farther, for the coarse colours of JPEG. And the share of its seam with the stone at which an
 * edge parts a part from it.
 */
const NEAR = 1;
const AWAY = [
  [2, 0.75],
  [3, 0.5],
] as const;
export const PARTS = 0.5;
/** The seam of a part may be so many cells out: those that the edge itself crosses are a little of both. */
const OUT = 2;
/** Stone beside a part is looked at so many cells off it. */
const ASIDE = 5;
/** A shadow leaves the colour within this (logarithms), and this share of how much darker it is (scattered light), and cells no more uneven than so many times the backdrop's. */
const [OF_BACKDROP, DARKENED, UNEVEN] = [0.08, 0.1, 2];
/** Single cells, which are noisier, stay within so many times that, or within a third of the way to the colour of most of the stone. */
const NOISY = 1.5;
/** Stone is of another colour than a part from this difference on (logarithms), and from so many times what the part's is off the backdrop's. */
const [UNLIKE, APART] = [0.08, 3];
/** A part is a shadow when more than this share of the stone beside it is of another colour, and may be one from the second on. */
const [MOSTLY, HALF] = [0.8, 0.5];
/** A shadow leaves at least this share of the light on a grey backdrop (logarithm). */
export const DEEPEST = Math.log(0.25);
/** From this distance from grey on (logarithms) a backdrop is coloured: black stone on it is of another colour, and a deep shadow is not. */
export const COLOURED = 0.5;
/** Cells that hardly differ in light from the backdrop are its texture. */
const DARKER = 0.15;
const BACK = 3.5;
/** Lines of the backdrop are no wider than so many cells. */
const LINE = 5;
/** Unevenness is read so many cells from the rim of a part at least: its own rim is an edge. */
const WITHIN = 3;
/** About so many cells of a region tell the colour of most of it. */
const SAMPLE = 1000;
/** Smaller parts are left as they were, and such with a shorter seam, cells; or with less than this share of it on their outer side. */
const [LEAST_PART, LEAST_SEAM, ALONG] = [12, 4, 0.2];

/** Cells of pieces without shadows, and those taken out. */
export interface Unshadowed {
  readonly mask: Uint8Array;
  /** Absent where there are none: how wide the part is that each cell taken out belongs to, cells. */
  readonly hem?: Float32Array;
  /** The same of parts left in that may be shadows. */
  readonly shade?: Float32Array;
}

/**
 * Takes hard shadows out of what was taken for a piece: parts that are of the backdrop's colour and only darker, next to
 * stone of another colour, with a sharp edge between the two. No facet turns stone into the backdrop's colour.
 *
 * @param mask 1 on what was taken for a piece; @param sure 1 on what surely is stone
 */
export function withoutShadows(
  off: OffBackdrop,
  grid: Pixels,
  mask: Uint8Array,
  sure: Uint8Array,
): Unshadowed {
  const { width } = off;
  const [may, rather] = [new Uint8Array(mask.length), new Uint8Array(mask.length)];
  eachPart(mask, width, 4, (region) => {
    if (region.length >= LEAST_PART) markShadows(off, region, sure, may, rather);
  });
  const dark = opened(rather, width);
  let out = mask;
  let across: Uint8Array | undefined;
  let [hem, shade]: [Float32Array | undefined, Float32Array | undefined] = [undefined, undefined];
  eachPart(dark, width, 4, (part) => {
    if (part.length < LEAST_PART) return;
    const inside = new Set(part);
    let [seam, parted, open] = [0, 0, 0];
    for (const cell of part) {
      const sides = [cell - 1, cell + 1, cell - width, cell + width].filter((one) => !inside.has(one));
      if (sides.length === 0) continue;
      if (sides.some((one) => mask[one] === 0)) open++;
      else {
        seam++;
        if (isPartedNear(grid, cell)) parted++;
      }
    }
    // A shadow lies along the rim or fills a notch; a band of the stone’s own runs across it.
    if (seam < LEAST_SEAM || open < ALONG * seam || parted < PARTS * seam) return;
    // Scattered light tints some shadows more than others: how unlike the stone is tells more.
    if (!isOfBackdrop(off, part, NOISY)) return;
    // With its pale rim and what lies beyond lines across it, which is no stone beside it.
    across ??= either(may, closed(dark, width, LINE));
    const whole = joined(part, across, width);
    const unlike = unlikeShare(off, part, mask, marked(whole, mask.length));
    if (unlike < HALF) return;
    const wide = part.length / Math.max(seam, open);
    if (unlike < MOSTLY) {
      shade ??= new Float32Array(mask.length);
      for (const cell of part) shade[cell] = wide;
      return;
    }
    if (out === mask) out = mask.slice();
    hem ??= new Float32Array(mask.length);
    for (const cell of whole) {
      if (may[cell] === 0) continue;
      out[cell] = 0;
      hem[cell] = wide;
    }
  });
  return { mask: out, ...(hem === undefined ? {} : { hem }), ...(shade === undefined ? {} : { shade }) };
}

/** Marks the cells of a region that may be shadow, and those that rather are. */
function markShadows(
  { tones, spread, colour }: OffBackdrop,
  region: readonly number[],
  sure: Uint8Array,
  may: Uint8Array,
  rather: Uint8Array,
): void {
  const [light, red, blue] = tones;
  const ofRed = medianAt(red, region);
  const ofBlue = medianAt(blue, region);
  const square = ofRed * ofRed + ofBlue * ofBlue;
  const third = Math.sqrt(square) / 3;
  for (let k = 0; k < region.length; k++) {
    const i = region[k];
    if (light[i] > -BACK * spread[0]) continue;
    // What is sure by its darkness stays; what is by its colour is looked at more closely here, for scattered light tints shadows.
    if (sure[i] === 1 && light[i] < DEEPEST && colour < COLOURED) continue;
    // Nearer to the backdrop's colour than to that of the stone.
    if (red[i] * ofRed + blue[i] * ofBlue > square / 2) continue;
    const most = Math.max(third, NOISY * tolerance(light[i]));
    if (Math.sqrt(red[i] * red[i] + blue[i] * blue[i]) >= most) continue;
    may[i] = 1;
    if (light[i] < -DARKER) rather[i] = 1;
  }
}

/** Median of a tone at some of the cells of a region. */
function medianAt(tone: Float32Array, region: readonly number[]): number {
  const step = Math.ceil(region.length / SAMPLE);
  const some = new Float64Array(Math.ceil(region.length / step));
  for (let k = 0; k < some.length; k++) some[k] = tone[region[k * step]];
  return medianInPlace(some);
}

/** A part with all cells of a mask that hang together with it: a shadow with its rim, where it is thin and pale. */
function joined(part: readonly number[], mask: Uint8Array, width: number): readonly number[] {
  const all = [...part];
  const seen = new Set(part);
  for (let k = 0; k < all.length; k++) {
    for (const cell of [all[k] - 1, all[k] + 1, all[k] - width, all[k] + width]) {
      if (mask[cell] !== 1 || seen.has(cell)) continue;
      seen.add(cell);
      all.push(cell);
    }
  }
  return all;
}

/** 1 where one of two masks is. */
function either(a: Uint8Array, b: Uint8Array): Uint8Array {
  return a.map((one, i) => one | b[i]);
}

/** A mask of some cells. */
function marked(cells: readonly number[], length: number): Uint8Array {
  const out = new Uint8Array(length);
  for (const cell of cells) out[cell] = 1;
  return out;
}

/** How far a shadow of such light (logarithm, below 0) may be from the backdrop's colour. */
function tolerance(light: number): number {
  return OF_BACKDROP - DARKENED * light;
}

/** Colours of the stone next to some cells: red and blue over green; `within` are no stone. */
function besideOf(
  { tones, width }: OffBackdrop,
  cells: readonly number[],
  mask: Uint8Array,
  within?: Uint8Array,
): { readonly reds: number[]; readonly blues: number[] } {
  const beside = new Set<number>();
  for (const cell of cells) {
    for (const step of [-ASIDE, ASIDE, -ASIDE * width, ASIDE * width])
      if (mask[cell + step] === 1 && within?.[cell + step] !== 1) beside.add(cell + step);
  }
  const [reds, blues] = [tones[1], tones[2]].map((tone) => Array.from(beside, (cell) => tone[cell]));
  return { reds, blues };
}

/** How far the colour of the stone next to some cells is from the backdrop's, or 0 where there is none. */
export function colourBeside(off: OffBackdrop, cells: readonly number[], mask: Uint8Array): number {
  const { reds, blues } = besideOf(off, cells, mask);
  return reds.length === 0 ? 0 : Math.hypot(medianOf(reds), medianOf(blues));
}

/**
 * How much lighter the stone next to some cells is than these, which are darker than the backdrop: logarithm, the medians of both; 0 where
 * they are not, or where there is no stone.
 */
export function lighterBeside(
  { tones: [light], spread, width }: OffBackdrop,
  cells: readonly number[],
  mask: Uint8Array,
): number {
  const own = medianOf(cells.map((cell) => light[cell]));
  if (own > -BACK * spread[0]) return 0;
  const beside = new Set<number>();
  for (const cell of cells) {
    for (const step of [-ASIDE, ASIDE, -ASIDE * width, ASIDE * width])
      if (mask[cell + step] === 1) beside.add(cell + step);
  }
  return beside.size === 0 ? 0 : Math.max(0, medianOf(Array.from(beside, (cell) => light[cell])) - own);
}

/** Whether cells are of the backdrop's colour, within so many times the tolerance, and darker. */
function isOfBackdrop({ tones }: OffBackdrop, cells: readonly number[], times = 1): boolean {
  const [light, red, blue] = tones.map((tone) => medianOf(cells.map((cell) => tone[cell])));
  return light <= 0 && Math.hypot(red, blue) <= times * tolerance(light);
}

/** Whether hardly any stone next to some cells, which are of the backdrop's colour, is of that too. */
export function isUnlikeStone(off: OffBackdrop, cells: readonly number[], mask: Uint8Array): boolean {
  return isOfBackdrop(off, cells, NOISY) && unlikeShare(off, cells, mask) > MOSTLY;
}

/** Share of the stone next to some cells that is of another colour than they are. */
function unlikeShare(
  off: OffBackdrop,
  cells: readonly number[],
  mask: Uint8Array,
  within?: Uint8Array,
): number {
  const { reds, blues } = besideOf(off, cells, mask, within);
  if (reds.length === 0) return 0;
  const { tones, spread } = off;
  const [red, blue] = [tones[1], tones[2]].map((tone) => medianOf(cells.map((cell) => tone[cell])));
  const least = Math.max(UNLIKE, APART * Math.hypot(red, blue), BACK * Math.hypot(spread[1], spread[2]));
  const unlike = reds.reduce(
    (sum, one, k) => sum + (Math.hypot(one - red, blues[k] - blue) > least ? 1 : 0),
    0,
  );
  return unlike / reds.length;
}

/** Whether cells may be a shadow on the backdrop: of its colour, darker, and as even as far as that can be told. */
export function isShadow(off: OffBackdrop, cells: readonly number[], unrest: number): boolean {
  if (!isOfBackdrop(off, cells)) return false;
  const { tones, width } = off;
  const own = new Uint8Array(tones[0].length).fill(1);
  for (const cell of cells) own[cell] = 0;
  const deep = distanceTo(own, width);
  const steps: number[] = [];
  for (const cell of cells) {
    if (deep[cell] < WITHIN) continue;
    for (const step of [1, width]) steps.push(Math.abs(tones[0][cell + step] - tones[0][cell - step]));
  }
  return steps.length < LEAST_PART || 1.4826 * medianOf(steps) < UNEVEN * unrest;
}

/** Whether codes change at a cell as at a sharp edge: not much farther out than next to it. */
export function isParted({ rgba, width }: Pixels, cell: number): boolean {
  const [far, share] = AWAY[0];
  const rises = [4, 4 * width].map((step) => [
    riseAt(rgba, 4 * cell, NEAR * step),
    riseAt(rgba, 4 * cell, far * step),
  ]);
  const [near, away] = rises[1][1] > rises[0][1] ? rises[1] : rises[0];
  return near > share * away;
}

/** The same at a cell or close by, and as sharp as the coarse colours of JPEG leave it: for seams between unlike colours. */
export function isPartedNear({ rgba, width }: Pixels, cell: number): boolean {
  let [near, at, along] = [0, 0, 4];
  for (const step of [4, 4 * width]) {
    for (let middle = 4 * cell - OUT * step; middle <= 4 * cell + OUT * step; middle += step) {
      const rise = riseAt(rgba, middle, NEAR * step);
      if (rise > near) [near, at, along] = [rise, middle, step];
    }
  }
  return AWAY.some(([far, share]) => near > share * riseAt(rgba, at, far * along));
}

/** What the three codes together change by between `step` to either side. */
function riseAt(rgba: Uint8ClampedArray, middle: number, step: number): number {
  let sum = 0;
  for (let k = middle; k < middle + 3; k++) sum += Math.abs(rgba[k + step] - rgba[k - step]);
  return sum;
}

function medianOf(values: readonly number[]): number {
  return medianInPlace(Float64Array.from(values));
}
