import { solveSymmetric } from '../geometry/leastSquares.ts';
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
}

/** Keeps the logarithm of black finite, and the noise of black small; share of white. */
const BLACK = 0.002;
const TERMS = 6;
const ROUNDS = 8;
/** About so many cells are looked at for the fit. */
const SAMPLE = 20_000;
/** Cells nearer to the fit than this many deviations are taken for backdrop in the next round. */
const NEAR = 3;
/** A backdrop never varies by less than this (camera noise, paper). */
const LEAST_SPREAD = [0.02, 0.012, 0.012] as const;
/** Widest that a start from the rim of the picture is trusted: logarithms of brightness and colour. */
const START_REACH = [0.6, 0.3, 0.3] as const;

export function tonesOf({ width, height, rgba }: Pixels): Toned {
  const count = width * height;
  const tones = [new Float32Array(count), new Float32Array(count), new Float32Array(count)] as const;
  for (let i = 0, at = 0; i < count; i++, at += 4) {
    const red = linearOf(rgba[at]);
    const green = linearOf(rgba[at + 1]);
    const blue = linearOf(rgba[at + 2]);
    const logGreen = Math.log(green + BLACK);
    tones[0][i] = Math.log(0.2126 * red + 0.7152 * green + 0.0722 * blue + BLACK);
    tones[1][i] = Math.log(red + BLACK) - logGreen;
    tones[2][i] = Math.log(blue + BLACK) - logGreen;
  }
  return { width, height, tones };
}

/**
 * Differences from the backdrop. Light that falls off over it is a quadratic surface in each tone, fitted to the cells
 * that `rim` marks and then to all that agree with it, wherever they are. Undefined when the rim holds no backdrop.
 */
export function offBackdrop(picture: Toned, rim: Uint8Array, usable: Uint8Array): OffBackdrop | undefined {
  const { width, height, tones } = picture;
  const terms = termsOf(width, height);
  const sample = sampleOf(picture, usable);
  let chosen = nearMedian(tones, sample, rim);
  const fits: Float64Array[] = tones.map(() => new Float64Array(TERMS));
  const spread: [number, number, number] = [...LEAST_SPREAD];
  for (let round = 0; round < ROUNDS; round++) {
    for (let t = 0; t < 3; t++) {
      const fit = solve(terms, tones[t], chosen);
      if (fit === undefined) return undefined;
      fits[t] = fit;
      spread[t] = Math.max(LEAST_SPREAD[t], spreadOf(terms, tones[t], chosen, fit));
    }
    chosen = sample.filter((i) => {
      // The first rounds stay at the rim, where a piece is least likely.
      if (round < 2 && rim[i] === 0) return false;
      let squares = 0;
      for (let t = 0; t < 3; t++) squares += ((tones[t][i] - valueAt(terms, fits[t], i)) / spread[t]) ** 2;
      return squares < 3 * NEAR * NEAR;
    });
  }
  const off = tones.map((tone, t) => differences(tone, terms, fits[t]));
  return { width, height, tones: [off[0], off[1], off[2]], spread };
}

/** Cells that the fit looks at: usable ones, evenly strewn. */
function sampleOf({ width, height }: Toned, usable: Uint8Array): Uint32Array {
  const step = Math.max(1, Math.round(Math.sqrt((width * height) / SAMPLE)));
  const cells: number[] = [];
  for (let v = step >> 1; v < height; v += step) {
    for (let u = step >> 1; u < width; u += step) if (usable[v * width + u] === 1) cells.push(v * width + u);
  }
  return Uint32Array.from(cells);
}

function differences(tone: Float32Array, { x, y }: Terms, fit: Float64Array): Float32Array {
  const out = new Float32Array(tone.length);
  for (let v = 0, i = 0; v < y.length; v++) {
    const b = y[v];
    for (let u = 0; u < x.length; u++, i++) {
      const a = x[u];
      out[i] = tone[i] - (fit[0] + a * (fit[1] + fit[3] * a) + b * (fit[2] + fit[4] * a + fit[5] * b));
    }
  }
  return out;
}

/** Rim cells whose tones lie near the medians: a label or a bar at the rim has no say. */
function nearMedian(tones: Toned['tones'], sample: Uint32Array, rim: Uint8Array): Uint32Array {
  const onRim = sample.filter((i) => rim[i] === 1);
  const limits = tones.map((tone, t) => {
    const values = Float32Array.from(onRim, (i) => tone[i]).sort();
    const median = values[values.length >> 1] ?? 0;
    const away = values.map((v) => Math.abs(v - median)).sort();
    const reach = Math.max(10 * LEAST_SPREAD[t], 4 * (away[away.length >> 1] ?? 0));
    return { median, reach: Math.min(START_REACH[t], reach) };
  });
  return onRim.filter((i) => limits.every(({ median, reach }, t) => Math.abs(tones[t][i] - median) <= reach));
}

/** x and y of each column and row, −1…1. */
interface Terms {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

function termsOf(width: number, height: number): Terms {
  return {
    x: Float64Array.from({ length: width }, (_, u) => (2 * (u + 0.5)) / width - 1),
    y: Float64Array.from({ length: height }, (_, v) => (2 * (v + 0.5)) / height - 1),
  };
}

function valueAt({ x, y }: Terms, fit: Float64Array, i: number): number {
  const [a, b] = [x[i % x.length], y[Math.floor(i / x.length)]];
  return fit[0] + a * (fit[1] + fit[3] * a) + b * (fit[2] + fit[4] * a + fit[5] * b);
}

/** Least squares over the chosen cells, a little stiff, so that few cells in one corner do not bend it elsewhere. */
function solve({ x, y }: Terms, tone: Float32Array, chosen: Uint32Array): Float64Array | undefined {
  const normal = new Float64Array(TERMS * TERMS);
  const against = new Float64Array(TERMS);
  const at = new Float64Array(TERMS);
  const n = chosen.length;
  if (n < 10 * TERMS) return undefined;
  for (const i of chosen) {
    const [a, b] = [x[i % x.length], y[Math.floor(i / x.length)]];
    at[0] = 1;
    at[1] = a;
    at[2] = b;
    at[3] = a * a;
    at[4] = a * b;
    at[5] = b * b;
    for (let r = 0; r < TERMS; r++) {
      against[r] += at[r] * tone[i];
      for (let c = 0; c < TERMS; c++) normal[r * TERMS + c] += at[r] * at[c];
    }
  }
  for (let r = 1; r < TERMS; r++) normal[r * TERMS + r] += (r < 3 ? 1e-4 : 1e-2) * n;
  return solveSymmetric(normal, against);
}

function spreadOf(terms: Terms, tone: Float32Array, chosen: Uint32Array, fit: Float64Array): number {
  const away = Float32Array.from(chosen, (i) => Math.abs(tone[i] - valueAt(terms, fit, i))).sort();
  return 1.4826 * (away[away.length >> 1] ?? 0);
}
