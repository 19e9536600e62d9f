import { solveSymmetric } from '../geometry/leastSquares.ts';
import { maskOfBands, type RingBands } from '../geometry/polygonMask.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { type CutCorner, lightsOf, nearTo, placesOf, windowOf } from './photoCornerWindow.ts';

/** Colours are read at least and at most so far from the edge, pixels. */
const [CLEAR, READ] = [2.5, 9];
const FEWEST = 20;
/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 5;
/** Variance of linear light that even a plain side has. */
const LEAST_VARIANCE = 2e-6;
/** A pixel's cover is believed to be between none and all but for so many deviations of its noise. */
const NOISES = 2;

/** Tells how much of the piece a light shows, along the direction of colour that tells its two sides apart best. */
export interface Cover {
  /** Light of what shows nothing of it, and weights of the differences from it, three channels each. */
  readonly none: Float64Array;
  readonly weights: Float64Array;
  /** Standard deviation of a share. */
  readonly noise: number;
}

/** By the colours to either side of the corner; undefined where they can't be told apart. */
export function coverOf(
  ring: RingBands,
  { around, cut, meet }: CutCorner,
  picture: Pixels,
): Cover | undefined {
  const window = windowOf([...cut, meet], picture, READ);
  const { left, top, width, height } = window;
  const inside = maskOfBands(ring, { x0: left, y0: top, cell: 1, columns: width, rows: height });
  const read = nearTo(window, [...cut, meet], READ);
  const mixed = nearTo(window, [...around, meet], CLEAR);
  const sides = [0, 1].map((side) => clearPlaces(read, mixed, inside, side));
  if (Math.min(sides[0].length, sides[1].length) < FEWEST) return undefined;
  return coverBy(lightsOf(picture, window, sides[0]), lightsOf(picture, window, sides[1]));
}

/** Places of the cells that are read, not mixed, and on one side. */
function clearPlaces(read: Uint8Array, mixed: Uint8Array, inside: Uint8Array, side: number): Uint32Array {
  const clear = new Uint8Array(read.length);
  for (let i = 0; i < clear.length; i++) if (read[i] > mixed[i] && inside[i] === side) clear[i] = 1;
  return placesOf(clear);
}

/** From lights outside and inside of the piece. */
function coverBy(outside: Float64Array, inside: Float64Array): Cover | undefined {
  const none = meanOf(outside);
  const all = meanOf(inside);
  const spread = new Float64Array(9);
  addSpread(spread, outside, none);
  addSpread(spread, inside, all);
  for (let c = 0; c < 9; c += 4) spread[c] += LEAST_VARIANCE;
  const difference = all.map((v, c) => v - none[c]);
  const weights = solveSymmetric(spread, difference.slice());
  if (weights === undefined) return undefined;
  const contrast = difference[0] * weights[0] + difference[1] * weights[1] + difference[2] * weights[2];
  if (!(contrast > CONTRAST * CONTRAST)) return undefined;
  return { none, weights: weights.map((weight) => weight / contrast), noise: 1 / Math.sqrt(contrast) };
}

function meanOf(lights: Float64Array): Float64Array {
  const mean = new Float64Array(3);
  for (let i = 0; i < lights.length; i++) mean[i % 3] += lights[i];
  return mean.map((sum) => (3 * sum) / lights.length);
}

/** Adds half the covariance of the channels of some lights, 3 × 3. */
function addSpread(spread: Float64Array, lights: Float64Array, mean: Float64Array): void {
  const share = 3 / lights.length / 2;
  for (let i = 0; i < lights.length; i += 3) {
    for (let r = 0; r < 3; r++) {
      for (let c = 0; c < 3; c++) {
        spread[3 * r + c] += (lights[i + r] - mean[r]) * (lights[i + c] - mean[c]) * share;
      }
    }
  }
}

/** How much of the piece lights show: 0…1, but for some noise. */
export function sharesOf(lights: Float64Array, { none, weights, noise }: Cover): Float64Array {
  const slack = NOISES * noise;
  const shares = new Float64Array(lights.length / 3);
  for (let i = 0, k = 0; i < shares.length; i++, k += 3) {
    const share =
      (lights[k] - none[0]) * weights[0] +
      (lights[k + 1] - none[1]) * weights[1] +
      (lights[k + 2] - none[2]) * weights[2];
    shares[i] = Math.min(1 + slack, Math.max(-slack, share));
  }
  return shares;
}
