import { solveSymmetric } from '../geometry/leastSquares.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { lightAlong, lightInto } from '../intake/scaleLight.ts';

/**
 * Where the picture changes along a line through (x, y) with unit direction (dx, dy), read over ±`reach` pixels: the
 * distance from (x, y), or undefined where no edge is to be seen. `unrest` is what `unrestAlong` told of the place.
 */
export interface EdgeReader {
  (x: number, y: number, dx: number, dy: number, reach: number, unrest?: Float64Array): number | undefined;
  /** How the colours of either side change within a reading, along a ring: a function of the point. */
  unrestAlong?(ring: Points2, normals: Points2): (point: number) => Float64Array;
}

/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 2.5;
/** Variance of linear light that even a plain side has: a camera's noise and 8-bit steps. */
const LEAST_VARIANCE = 2e-6;
const CHANNELS = 3;
/** Most samples along a line. */
const MOST_STEPS = 256;
/** Colours to either side are compared between these distances from the ring, pixels: past the blur, and as far apart as a reading looks. */
const [BEFORE, BEYOND] = [2.5, 5];
/** Points to either side whose unrest is taken together. */
const TOGETHER = 40;

/**
 * Reads edges by colour, in linear light, where blur does not move an edge. The two sides are the means of the outer
 * quarters of the line; all samples are projected onto the difference between them, each channel weighed by how little
 * it varies on either side; the edge stands where a sharp step would hold as much light. Where grain and facets near by
 * are known, the direction of colour is the one in which they say least.
 */
export function colourEdges(picture: Pixels): EdgeReader {
  const samples = new Float64Array(CHANNELS * MOST_STEPS);
  const [sums, rise] = [new Float64Array(CHANNELS), new Float64Array(CHANNELS)];
  const read: EdgeReader = (x, y, dx, dy, reach, unrest) => {
    const steps = Math.min(MOST_STEPS, Math.max(16, 4 * Math.ceil(reach)));
    const step = (2 * reach) / steps;
    const from = step / 2 - reach;
    lightAlong(picture, x + from * dx, y + from * dy, step * dx, step * dy, steps, samples);
    const [quarter, end] = [steps >> 2, CHANNELS * steps];
    let [contrast, sum] = [0, 0];
    for (let c = 0; c < CHANNELS; c++) {
      let [a, aa, b, bb] = [0, 0, 0, 0];
      for (let i = 0, near = c, far = end - CHANNELS + c; i < quarter; i++) {
        a += samples[near];
        aa += samples[near] * samples[near];
        b += samples[far];
        bb += samples[far] * samples[far];
        near += CHANNELS;
        far -= CHANNELS;
      }
      a /= quarter;
      b /= quarter;
      const variance = LEAST_VARIANCE + Math.max(0, aa / quarter - a * a + (bb / quarter - b * b)) / 2;
      const weight = (b - a) / variance;
      contrast += (b - a) * weight;
      let all = 0;
      for (let i = c; i < end; i += CHANNELS) all += samples[i];
      sums[c] = all - steps * a;
      rise[c] = b - a;
      sum += weight * sums[c];
    }
    if (contrast < CONTRAST * CONTRAST) return undefined;
    const weights = unrest === undefined ? undefined : solveSymmetric(unrest.slice(), rise);
    if (weights !== undefined) {
      [contrast, sum] = [0, 0];
      for (let c = 0; c < CHANNELS; c++) {
        contrast += weights[c] * rise[c];
        sum += weights[c] * sums[c];
      }
    }
    // Light before the edge is 0 and after it `contrast`: sum·step = contrast·(reach − at).
    const at = reach - (sum * step) / contrast;
    return Math.abs(at) <= reach / 2 ? at : undefined;
  };
  read.unrestAlong = (ring, normals) => unrestAlong(picture, ring, normals);
  return read;
}

/** Mean products of the differences of colour within either side, over the points about each (3 × 3, row by row). */
function unrestAlong(picture: Pixels, ring: Points2, normals: Points2): (point: number) => Float64Array {
  const n = ring.length / 2;
  const products = new Float64Array(9 * n);
  const [near, far] = [new Float64Array(CHANNELS), new Float64Array(CHANNELS)];
  for (let i = 0; i < n; i++) {
    for (const side of [-1, 1]) {
      const at = (away: number, into: Float64Array): void => {
        const reach = side * away;
        lightInto(
          picture,
          ring[2 * i] + reach * normals[2 * i],
          ring[2 * i + 1] + reach * normals[2 * i + 1],
          into,
        );
      };
      at(BEFORE, near);
      at(BEYOND, far);
      for (let k = 0; k < 9; k++) {
        const [r, c] = [Math.floor(k / 3), k % 3];
        products[9 * i + k] += (far[r] - near[r]) * (far[c] - near[c]);
      }
    }
  }
  const reach = Math.min(TOGETHER, Math.floor((n - 1) / 2));
  const window = new Float64Array(9);
  for (let i = -reach; i <= reach; i++) addInto(window, products, (i + n) % n, 1);
  const means = new Float64Array(9 * n);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < 9; k++) {
      means[9 * i + k] = window[k] / (2 * (2 * reach + 1)) + (k % 4 === 0 ? LEAST_VARIANCE : 0);
    }
    addInto(window, products, (i - reach + n) % n, -1);
    addInto(window, products, (i + reach + 1) % n, 1);
  }
  return (point) => means.subarray(9 * point, 9 * point + 9);
}

function addInto(sums: Float64Array, products: Float64Array, point: number, sign: number): void {
  for (let k = 0; k < 9; k++) sums[k] += sign * products[9 * point + k];
}
