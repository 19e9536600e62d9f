import { maskInside } from '../geometry/polygonMask.ts';
import { closed, eroded, opened } from '../geometry/rasterMorphology.ts';
import type { Cv, CvMat } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, ReducedPixels } from '../intake/photoTypes.ts';
import { type OffBackdrop, offBackdrop, tonesOf } from './photoBackdrop.ts';
import type { Mouth } from './photoBays.ts';
import { type RightCells, setRight } from './photoRims.ts';
import { COLOURED, DEEPEST, type Unshadowed, withoutShadows } from './photoShadows.ts';

/** What stands off the backdrop, on a reduced grid. */
export interface CoarsePieces {
  /** Cell (u, v) holds the mean of `factor` × `factor` pixels of the whole picture, from (u·factor, v·factor) on. */
  readonly grid: ReducedPixels;
  /** 1 on pieces (and on cards, labels, bars), 0 on the backdrop and its shadows. */
  readonly mask: Uint8Array;
  /** 1 on cells of the backdrop's colour that no glint has: on a coloured backdrop all of it, on a grey one what is darker than it. */
  readonly bare: Uint8Array;
  /** 1 on those that no finer look may give back to the backdrop; absent where there are none. */
  readonly firm?: Uint8Array;
  /** `mask` with the lines that were left out of it; absent where none were. */
  readonly withLines?: Uint8Array;
  /** Cells at the mouths of bays that were filled. */
  readonly mouths?: readonly Mouth[];
  /**
   * The same of what sharp edges close in alone, without the hard shadows in it: with wide gaps in the edges, then with hardly any. Absent
   * where such edges stand all round the pieces.
   */
  readonly closedIn?: readonly (() => CoarsePieces)[];
  /** Cells of `mask` left out that may be stone: how wide their part is, cells. */
  readonly hem?: Float32Array;
  /** The same of cells of `mask` that may be shadow. */
  readonly shade?: Float32Array;
  /** Whether lines of the backdrop, as a cutting mat has, were left out. */
  readonly lined: boolean;
  /** Whether sharp edges stand off the pieces too, or not all round them. */
  readonly astray?: boolean;
  /** Whether much of what stands off the backdrop is as thin as a line on this grid, or all of it. */
  readonly narrow: boolean;
}

/** What is known of a picture before: nothing outside `field` and nothing inside `things` is looked at. Pixels. */
export interface KnownPlaces {
  /** The clear field of a mat, x y pairs. */
  readonly field?: Float64Array;
  /** As far round the field as nothing is printed, four corners: what lies beyond hides print, and runs out of what is looked at. */
  readonly bare?: Float64Array;
  /** The ends of a scale bar, x0 y0 x1 y1: what lies under it is a card. */
  readonly bar?: Float64Array;
}

/** Cells of the grid on which pieces are told from the backdrop. */
const MOST_CELLS = 160_000;
/** The rim of the picture from which the backdrop is first read, as a share of the shorter side. */
const RIM = 0.07;
/** Within so many deviations a cell is surely backdrop. */
const BACK = 3.5;
/**
 * A shadow changes colour by no more than this (logarithm of a ratio; practice), on coloured backdrops by a share of how much darker
 * it is besides, for scattered light greys it.
 */
const SHADOW_COLOUR = 0.09;
const GREYED = 0.1;
/** From this distance from grey (logarithms) to COLOURED a backdrop gets coloured. */
const GREYISH = 0.3;
/** From the first to the second share of the floor of logarithms in its light a backdrop gets nearly black. */
const [NEARLY, BLACK] = [0.05, 0.2];
/** Light is about this power of its code: steps of codes are worth more where it is darker. */
const GAMMA = 2.2;
/** Deviations and logarithms from which on a cell that is no shadow surely is no backdrop. */
const SURE = 6;
const BRIGHTER = 0.12;
/** Steps of 8 bits to one unit of each tone for the watershed: an edge of colour counts more, a shadow has none. */
const STEPS = [50, 100, 100] as const;
/** Where sure stone makes up less of what stands off the backdrop, nothing of it is shadow. */
const FEW = 0.15;
/** Lines are thinner than so many cells; and they are there where they make up this share of what stands off the backdrop. */
const LINE = 5;
const LINES = 0.08;
/** Within this share of its length to either side of its middle line lies a scale bar with its card (practice). */
const BAR_WIDTH = 0.2;

/**
 * Tells pieces from the backdrop. Cells whose colour or light no shadow explains are surely no backdrop; cells that
 * are only darker may be stone or shadow, and go to whichever of the two they join without crossing a sharp edge
 * (watershed): the rim of a shadow is soft, that of a stone is not. Undefined when the rim shows no backdrop.
 *
 * @param lined whether lines are left out however few there are: rests of such as were taken off the picture
 */
export function findPieces(
  photo: Photo,
  known: KnownPlaces,
  cv: Cv,
  lined = false,
): CoarsePieces | undefined {
  const { reduced } = photo;
  const shrink = Math.max(1, Math.ceil(Math.sqrt((reduced.width * reduced.height) / MOST_CELLS)));
  const { width, height, rgba } = reduce(reduced, shrink);
  const grid = { width, height, rgba, factor: reduced.factor * shrink };
  const usable = usableCells(grid, known);
  const rim = rimOf(grid.width, grid.height, usable, known.field !== undefined);
  const off = offBackdrop(tonesOf(grid), rim, usable);
  if (off === undefined) return undefined;
  const marks = marksOf(off, usable, cv);
  const mask = flood(off, marks, cv);
  const { thick, lines, narrow } = withoutLines(mask, grid, known);
  const bare = bareOf(off);
  const sure = new Uint8Array(marks.length);
  for (let i = 0; i < sure.length; i++) sure[i] = marks[i] === STONE ? 1 : 0;
  if ((lines || lined) && thick.includes(1)) {
    const unshadowed = withoutShadows(off, grid, thick, sure);
    return { grid, bare, ...unshadowed, withLines: mask, lined: true, narrow };
  }
  const lit = withoutShadows(off, grid, mask, sure);
  const { closed: enclosed, ...right } = setRight(off, grid, lit.mask, sure, bare);
  const withDoubts = (lit: Unshadowed, right: RightCells): CoarsePieces => {
    const shade = lit.shade === undefined ? {} : { shade: lit.shade };
    return { grid, bare, ...right, ...hemOf(lit.hem, right), ...shade, lined: false, narrow };
  };
  if (enclosed === undefined) return withDoubts(lit, right);
  const closedIn = enclosed.map((cells) => (): CoarsePieces => {
    const inside = cells();
    const within = right.mask.map((one, i) => one & inside[i]);
    // In a notch shadows are deeper than elsewhere: darkness alone makes nothing sure here.
    const again = withoutShadows(off, grid, within, new Uint8Array(within.length));
    return withDoubts(again, { ...right, mask: again.mask });
  });
  return { ...withDoubts(lit, right), closedIn };
}

/** Cells that a glint, which is as light as a grey backdrop and white, surely is not, but backdrop or its shadow. */
function bareOf(off: OffBackdrop): Uint8Array {
  const { tones, spread, colour } = off;
  const [light, red, blue] = tones;
  const bare = new Uint8Array(light.length);
  const away = BACK * spread[0];
  const most = colour < COLOURED ? -away : away;
  // Nearer to the backdrop's colour than to grey, which glints and dark stone are.
  const near = Math.max(SHADOW_COLOUR, colour / 2);
  for (let i = 0; i < bare.length; i++) {
    if (light[i] > most) continue;
    if (red[i] * red[i] + blue[i] * blue[i] < near * near && !isOtherColour(off, i)) bare[i] = 1;
  }
  return bare;
}

/** How wide the parts are that were left out, of both sorts, as far as they stayed out. */
function hemOf(shadows: Float32Array | undefined, { mask, hem }: RightCells): Pick<CoarsePieces, 'hem'> {
  if (shadows === undefined) return {};
  const all = shadows.map((wide, i) => (mask[i] === 1 ? 0 : Math.max(wide, hem?.[i] ?? 0)));
  return { hem: all };
}

function usableCells({ width, height, factor }: ReducedPixels, { field }: KnownPlaces): Uint8Array {
  if (field === undefined) return new Uint8Array(width * height).fill(1);
  const first = (factor - 1) / 2;
  return maskInside([field], { x0: first, y0: first, cell: factor, columns: width, rows: height });
}

const [UNKNOWN, GROUND, STONE] = [0, 1, 2];

/** What each cell surely is. */
function marksOf(off: OffBackdrop, usable: Uint8Array, cv: Cv): Uint8Array {
  const { width, height } = off;
  const count = width * height;
  const ground = new Uint8Array(count);
  const stone = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const mark = usable[i] === 0 ? GROUND : surely(off, i);
    if (mark === GROUND) ground[i] = 1;
    else if (mark === STONE) stone[i] = 1;
  }
  const sureGround = opened(ground, width);
  // Cells that an edge crosses are a little of both: they must not be a bridge from the stone into its shadow.
  const sureStone = eroded(stone, width);
  const marks = new Uint8Array(count);
  for (let i = 0; i < count; i++)
    marks[i] = sureGround[i] === 1 ? GROUND : sureStone[i] === 1 ? STONE : UNKNOWN;
  markFaint(marks, ground, width, height, cv);
  return marks;
}

/** What a cell surely is, by its differences from the backdrop. */
function surely(off: OffBackdrop, cell: number): number {
  const { tones, spread, colour: ofBackdrop } = off;
  const light = tones[0][cell];
  const ofRed = tones[1][cell] / spread[1];
  const ofBlue = tones[2][cell] / spread[2];
  const away = Math.sqrt(ofRed * ofRed + ofBlue * ofBlue);
  if (away < BACK && Math.abs(light) < BACK * spread[0]) return GROUND;
  if ((light > SURE * spread[0] && light > BRIGHTER) || isOtherColour(off, cell)) return STONE;
  const black = light < -SURE * spread[0] && light < DEEPEST && ofBackdrop < COLOURED;
  return black ? STONE : UNKNOWN;
}

/** Whether a cell is of a colour that no shadow on the backdrop has, for sure. */
function isOtherColour({ tones, spread, rounding, colour, floor }: OffBackdrop, cell: number): boolean {
  const red = tones[1][cell];
  const blue = tones[2][cell];
  const coloured = Math.min(1, Math.max(0, (colour - GREYISH) / (COLOURED - GREYISH)));
  const dark = Math.max(0, -tones[0][cell]);
  const size = Math.sqrt(red * red + blue * blue);
  const most = SHADOW_COLOUR + GREYED * coloured * dark;
  // Most cells, without a power: what is greyed is never less than 0.
  if (size <= most) return false;
  const black = Math.min(1, Math.max(0, (floor - NEARLY) / (BLACK - NEARLY)));
  // Near black the floor of the logarithm greys what is darker.
  const greyed = (black * colour * floor * (Math.exp(dark) - 1)) / (1 - floor);
  if (size - greyed <= most) return false;
  // Of a coloured backdrop one code at least is low, of a nearly black one all are, and lower in shadow.
  const more = Math.max(coloured, black) * (Math.exp(dark / GAMMA) - 1);
  const ofRed = red / (spread[1] + more * rounding[1]);
  const ofBlue = blue / (spread[2] + more * rounding[2]);
  return (1 - greyed / size) * Math.sqrt(ofRed * ofRed + ofBlue * ofBlue) > SURE;
}

/** What stands off the backdrop with hardly any sure stone in it (black on black) is taken for stone as a whole. */
function markFaint(marks: Uint8Array, ground: Uint8Array, width: number, height: number, cv: Cv): void {
  const off = new Uint8Array(ground.length);
  for (let i = 0; i < off.length; i++) off[i] = 1 - ground[i];
  const standing = opened(closed(off, width), width);
  const core = eroded(standing, width);
  const made: CvMat[] = [];
  const keep = (mat: CvMat): CvMat => {
    made.push(mat);
    return mat;
  };
  try {
    const from = keep(new cv.Mat(height, width, cv.CV_8UC1));
    from.data.set(standing);
    const [labels, stats, centres] = [keep(new cv.Mat()), keep(new cv.Mat()), keep(new cv.Mat())];
    const count = cv.connectedComponentsWithStats(from, labels, stats, centres);
    const label = labels.data32S;
    const [all, sure] = [new Uint32Array(count), new Uint32Array(count)];
    for (let i = 0; i < marks.length; i++) {
      all[label[i]]++;
      if (marks[i] === STONE) sure[label[i]]++;
    }
    for (let i = 0; i < marks.length; i++) {
      if (core[i] === 1 && label[i] > 0 && sure[label[i]] < FEW * all[label[i]]) marks[i] = STONE;
    }
  } finally {
    for (const mat of made) mat.delete();
  }
}

/** Where much of what stands off the backdrop is thinner than a piece, it is lines of the backdrop (a cutting mat's, a seam's): the rest without them. */
function withoutLines(
  mask: Uint8Array,
  { width, factor }: ReducedPixels,
  { bar }: KnownPlaces,
): { readonly thick: Uint8Array; readonly lines: boolean; readonly narrow: boolean } {
  const thick = opened(mask, width, LINE);
  const few = (some: Uint8Array, all: Uint8Array): boolean => countOf(some) < (1 - LINES) * countOf(all);
  const lines = few(thick, mask);
  if (lines || bar === undefined) return { thick, lines, narrow: lines };
  // A bar is wide, and would make little of a narrow piece beside it.
  const beside = (all: Uint8Array): Uint8Array => withoutBar(all, width, factor, bar);
  return { thick, lines, narrow: few(beside(thick), beside(mask)) };
}

/** A mask without what lies about the line of a scale bar. */
function withoutBar(mask: Uint8Array, width: number, factor: number, bar: Float64Array): Uint8Array {
  const [x0, y0, x1, y1] = bar.map((v) => v / factor);
  const reach = Math.hypot(x1 - x0, y1 - y0);
  const [dx, dy] = [(x1 - x0) / reach, (y1 - y0) / reach];
  const wide = BAR_WIDTH * reach;
  return mask.map((one, i) => {
    const [u, v] = [(i % width) - x0, Math.floor(i / width) - y0];
    const along = u * dx + v * dy;
    const off = Math.abs(u * dy - v * dx);
    return off < wide && along > -wide && along < reach + wide ? 0 : one;
  });
}

/** Cells of a mask that are 1. */
function countOf(mask: Uint8Array): number {
  let count = 0;
  for (let i = 0; i < mask.length; i++) count += mask[i];
  return count;
}

function flood(off: OffBackdrop, marks: Uint8Array, cv: Cv): Uint8Array {
  const { width, height, tones } = off;
  const made: CvMat[] = [];
  try {
    const image = new cv.Mat(height, width, cv.CV_8UC3);
    made.push(image);
    const markers = new cv.Mat(height, width, cv.CV_32SC1);
    made.push(markers);
    for (let t = 0; t < 3; t++) setSteps(tones[t], STEPS[t], image.data, t);
    markers.data32S.set(marks);
    cv.watershed(image, markers);
    const flooded = markers.data32S;
    const mask = new Uint8Array(marks.length);
    for (let i = 0; i < mask.length; i++) mask[i] = flooded[i] === STONE ? 1 : 0;
    return mask;
  } finally {
    for (const mat of made) mat.delete();
  }
}

/** Writes a tone into one of three channels of 8 bits, in so many steps to one unit of it. */
function setSteps(tone: Float32Array, steps: number, into: Uint8Array, channel: number): void {
  for (let i = 0, to = channel; i < tone.length; i++, to += 3) {
    into[to] = Math.min(255, Math.max(0, 128 + steps * tone[i]));
  }
}

/** Usable cells along the rim of all that are usable: of the picture, and of a `field` in it whichever way that lies. */
function rimOf(width: number, height: number, usable: Uint8Array, field: boolean): Uint8Array {
  let [left, right, top, bottom] = [width, -1, height, -1];
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i++) {
      if (usable[i] === 0) continue;
      left = Math.min(left, u);
      right = Math.max(right, u);
      top = Math.min(top, v);
      bottom = v;
    }
  }
  const reach = RIM * Math.min(right - left, bottom - top);
  const rim = new Uint8Array(usable.length);
  const side = 2 * Math.floor(reach) + 1;
  const inner = field ? eroded(usable, width, side) : usable;
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i++) {
      const near = u - left < reach || right - u < reach || v - top < reach || bottom - v < reach;
      if (near || inner[i] === 0) rim[i] = usable[i];
    }
  }
  return rim;
}
