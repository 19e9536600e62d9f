import { solveSymmetric } from '../geometry/leastSquares.ts';
import { medianInPlace, rankInPlace } from '../geometry/median.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

/**
 * What light does to a surface multiplies its colour, so that in logarithms a shadow moves brightness and leaves the
 * two differences of colour alone. Rows × columns, row by row.
 */
export interface Toned {
  readonly width: number;
  readonly height: number;
  /** Logarithm of luminance; logarithms of red and of blue less that of green. */
  readonly tones: readonly [Float32Array, Float32Array, Float32Array];
}

/** How each cell differs from the backdrop that would be seen there. */
export interface OffBackdrop extends Toned {
  /** Standard deviation of the backdrop's own texture in each tone. */
  readonly spread: readonly [number, number, number];
  /** What of that the rounding of its codes may make. */
  readonly rounding: readonly [number, number, number];
  /** How far its colour is from grey, logarithms. */
  readonly colour: number;
  /** What keeps the logarithm of black finite, as a share of the backdrop's light in the middle of the picture. */
  readonly floor: number;
}

/** Keeps the logarithm of black finite, and the noise of black small; share of white. */
const BLACK = 0.002;
const TERMS = 6;
const ROUNDS = 8;
/** About so many cells are looked at for the fit. */
const SAMPLE = 10_000;
/** Cells nearer to the fit than this many deviations are taken for backdrop in the next round. */
const NEAR = 3;
/** A backdrop never varies by less than this (camera noise, paper). */
const LEAST_SPREAD = [0.02, 0.012, 0.012] as const;
/** What a code may be out by, for codes are whole and JPEG rounds them by blocks: its share is large where a backdrop is dark. */
const ROUNDED = 0.5;
/** Widest that a start from the rim of the picture is trusted: logarithms of brightness and colour. */
const START_REACH = [0.6, 0.3, 0.3] as const;

/** Logarithm of the light of each 8-bit code. */
const LOGARITHM = Float64Array.from({ length: 256 }, (_, code) => Math.log(linearOf(code) + BLACK));

export function tonesOf({ width, height, rgba }: Pixels): Toned {
  const count = width * height;
  const tones = [new Float32Array(count), new Float32Array(count), new Float32Array(count)] as const;
  for (let i = 0; i < count; i += width) {
    setTones(rgba, i, Math.min(count, i + width), tones[0], tones[1], tones[2]);
  }
  return { width, height, tones };
}

/** Of the cells of a row, for there are many. */
function setTones(
  rgba: Uint8ClampedArray,
  from: number,
  to: number,
  lights: Float32Array,
  reds: Float32Array,
  blues: Float32Array,
): void {
  for (let i = from, at = 4 * from; i < to; i++, at += 4) {
    const red = rgba[at];
    const green = rgba[at + 1];
    const blue = rgba[at + 2];
    const light = 0.2126 * linearOf(red) + 0.7152 * linearOf(green) + 0.0722 * linearOf(blue);
    lights[i] = Math.log(light + BLACK);
    reds[i] = LOGARITHM[red] - LOGARITHM[green];
    blues[i] = LOGARITHM[blue] - LOGARITHM[green];
  }
}

/**
 * Differences from the backdrop. Light that falls off over it is a quadratic surface in each tone, fitted to the cells
 * that `rim` marks and then to all that agree with it, wherever they are. Undefined when the rim holds no backdrop.
 */
export function offBackdrop(picture: Toned, rim: Uint8Array, usable: Uint8Array): OffBackdrop | undefined {
  const { width, height, tones } = picture;
  const sample = sampleOf(picture, rim, usable);
  const chosen = nearMedian(sample);
  const away = sample.tones.map((tone) => new Float32Array(tone.length));
  const sizes = new Float64Array(chosen.length);
  let fits: Float64Array[] = [];
  const spread: [number, number, number] = [...LEAST_SPREAD];
  for (let round = 0; round < ROUNDS; round++) {
    const solved = solve(sample, chosen);
    if (solved === undefined) return undefined;
    fits = solved;
    for (let t = 0; t < 3; t++) {
      differ(sample, t, fits[t], away[t]);
      spread[t] = Math.max(LEAST_SPREAD[t], rounded(fits, t), 1.4826 * medianSize(away[t], chosen, sizes));
    }
    // The first rounds stay at the rim, where a piece is least likely.
    const changed = choose(chosen, sample.rim, round < 2, away[0], away[1], away[2], spread);
    if (!changed && round >= 2) break;
  }
  const off = tones.map((tone, t) => differences(tone, width, height, fits[t]));
  const colour = Math.hypot(fits[1][0], fits[2][0]);
  const rounding = [rounded(fits, 0), rounded(fits, 1), rounded(fits, 2)] as const;
  const floor = Math.min(0.9, BLACK / Math.exp(fits[0][0]));
  return { width, height, tones: [off[0], off[1], off[2]], spread, rounding, colour, floor };
}

/** What the rounding of codes does to a tone of a backdrop, by its colour in the middle of the picture. */
function rounded(fits: readonly Float64Array[], tone: number): number {
  const [light, red, blue] = fits.map((fit) => fit[0]);
  const green = light - Math.log(0.2126 * Math.exp(red) + 0.7152 + 0.0722 * Math.exp(blue));
  // An sRGB code c is about 255·1.055·light^(1/2.4): what one code is of the light there.
  const perCode = (logarithm: number): number => {
    const linear = Math.max(0, Math.exp(logarithm) - BLACK);
    return ((2.4 / (1.055 * 255)) * linear ** (1.4 / 2.4)) / (linear + BLACK);
  };
  if (tone === 0) return ROUNDED * perCode(light);
  return ROUNDED * Math.hypot(perCode(green + (tone === 1 ? red : blue)), perCode(green));
}

/** Marks the cells near to the fit in all three tones, of the rim alone where asked for; whether any mark changed. */
function choose(
  chosen: Uint8Array,
  rim: Uint8Array,
  rimOnly: boolean,
  light: Float32Array,
  red: Float32Array,
  blue: Float32Array,
  spread: readonly number[],
): boolean {
  let changed = false;
  for (let i = 0; i < chosen.length; i++) {
    const a = light[i] / spread[0];
    const b = red[i] / spread[1];
    const c = blue[i] / spread[2];
    const near = a * a + b * b + c * c < 3 * NEAR * NEAR && (!rimOnly || rim[i] === 1) ? 1 : 0;
    if (near !== chosen[i]) changed = true;
    chosen[i] = near;
  }
  return changed;
}

/** Cells that the fit looks at: usable ones, evenly strewn. */
interface Sample {
  /** Terms of the surface at each cell, TERMS after one another. */
  readonly terms: Float64Array;
  readonly tones: readonly Float32Array[];
  readonly rim: Uint8Array;
}

function sampleOf({ width, height, tones }: Toned, rim: Uint8Array, usable: Uint8Array): Sample {
  const step = Math.max(1, Math.round(Math.sqrt((width * height) / SAMPLE)));
  const cells: number[] = [];
  for (let v = step >> 1; v < height; v += step) {
    for (let u = step >> 1; u < width; u += step) if (usable[v * width + u] === 1) cells.push(v * width + u);
  }
  const n = cells.length;
  const terms = new Float64Array(TERMS * n);
  const rims = new Uint8Array(n);
  const sampled = tones.map(() => new Float32Array(n));
  for (let i = 0, at = 0; i < n; i++, at += TERMS) {
    const cell = cells[i];
    const v = Math.floor(cell / width);
    const a = placeOf(cell - v * width, width);
    const b = placeOf(v, height);
    terms[at] = 1;
    terms[at + 1] = a;
    terms[at + 2] = b;
    terms[at + 3] = a * a;
    terms[at + 4] = a * b;
    terms[at + 5] = b * b;
    rims[i] = rim[cell];
    for (let t = 0; t < 3; t++) sampled[t][i] = tones[t][cell];
  }
  return { terms, tones: sampled, rim: rims };
}

/** Where a column or row lies, −1…1. */
function placeOf(index: number, count: number): number {
  return (2 * (index + 0.5)) / count - 1;
}

function differences(tone: Float32Array, width: number, height: number, fit: Float64Array): Float32Array {
  const out = new Float32Array(tone.length);
  const places = Float64Array.from({ length: width }, (_, u) => placeOf(u, width));
  for (let v = 0; v < height; v++) differRow(tone, v * width, places, placeOf(v, height), fit, out);
  return out;
}

function differRow(
  tone: Float32Array,
  row: number,
  places: Float64Array,
  b: number,
  fit: Float64Array,
  out: Float32Array,
): void {
  for (let u = 0, i = row; u < places.length; u++, i++) {
    const a = places[u];
    out[i] = tone[i] - (fit[0] + a * (fit[1] + fit[3] * a) + b * (fit[2] + fit[4] * a + fit[5] * b));
  }
}

/** 1 for rim cells whose tones lie near the medians: a label or a bar at the rim has no say. */
function nearMedian({ tones, rim }: Sample): Uint8Array {
  const chosen = rim.slice();
  for (let t = 0; t < 3; t++) leaveFar(tones[t], rim, LEAST_SPREAD[t], START_REACH[t], chosen);
  return chosen;
}

/** Sets those to 0 whose tone lies farther from the median of the rim than ten of the least spread or four median deviations, or than `most`. */
function leaveFar(
  tone: Float32Array,
  rim: Uint8Array,
  least: number,
  most: number,
  chosen: Uint8Array,
): void {
  const values = new Float64Array(tone.length);
  let count = 0;
  for (let i = 0; i < tone.length; i++) if (rim[i] === 1) values[count++] = tone[i];
  if (count === 0) return;
  const median = medianInPlace(values, count);
  // Deviations are of single precision, as tones are.
  for (let i = 0; i < count; i++) values[i] = Math.fround(Math.abs(values[i] - median));
  const reach = Math.min(most, Math.max(10 * least, 4 * medianInPlace(values, count)));
  for (let i = 0; i < chosen.length; i++) if (Math.abs(tone[i] - median) > reach) chosen[i] = 0;
}

/** Least squares over the chosen cells, a little stiff, so that few cells in one corner do not bend it elsewhere: a fit for each tone. */
function solve({ terms, tones }: Sample, chosen: Uint8Array): Float64Array[] | undefined {
  const normal = new Float64Array(TERMS * TERMS);
  const against = new Float64Array(3 * TERMS);
  const [light, red, blue] = tones;
  let n = 0;
  for (let i = 0, at = 0; i < chosen.length; i++, at += TERMS) {
    if (chosen[i] === 0) continue;
    n++;
    addProducts(terms, at, light[i], red[i], blue[i], normal, against);
  }
  if (n < 10 * TERMS) return undefined;
  for (let r = 0; r < TERMS; r++) for (let c = 0; c < r; c++) normal[c * TERMS + r] = normal[r * TERMS + c];
  for (let r = 1; r < TERMS; r++) normal[r * TERMS + r] += (r < 3 ? 1e-4 : 1e-2) * n;
  const fits = tones.map((_, t) => solveSymmetric(normal.slice(), against.slice(t * TERMS, (t + 1) * TERMS)));
  return fits.every((fit) => fit !== undefined) ? fits : undefined;
}

/** Adds one cell's part to the normal equations of the three tones. */
function addProducts(
  terms: Float64Array,
  at: number,
  light: number,
  red: number,
  blue: number,
  normal: Float64Array,
  against: Float64Array,
): void {
  for (let r = 0; r < TERMS; r++) {
    const term = terms[at + r];
    against[r] += term * light;
    against[TERMS + r] += term * red;
    against[2 * TERMS + r] += term * blue;
    for (let c = 0; c <= r; c++) normal[r * TERMS + c] += term * terms[at + c];
  }
}

/** How far each cell lies off a fit. */
function differ({ terms, tones }: Sample, t: number, fit: Float64Array, into: Float32Array): void {
  const tone = tones[t];
  const f0 = fit[0];
  const f1 = fit[1];
  const f2 = fit[2];
  const f3 = fit[3];
  const f4 = fit[4];
  const f5 = fit[5];
  for (let i = 0, at = 0; i < tone.length; i++, at += TERMS) {
    const straight = f0 + f1 * terms[at + 1] + f2 * terms[at + 2];
    into[i] = tone[i] - (straight + f3 * terms[at + 3] + f4 * terms[at + 4] + f5 * terms[at + 5]);
  }
}

/** Median magnitude of the chosen values; 0 of none. `sizes` has room for all. */
function medianSize(values: Float32Array, chosen: Uint8Array, sizes: Float64Array): number {
  let n = 0;
  for (let i = 0; i < values.length; i++) if (chosen[i] === 1) sizes[n++] = Math.abs(values[i]);
  return n > 0 ? rankInPlace(sizes.subarray(0, n), n >> 1) : 0;
}
