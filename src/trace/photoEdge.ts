import type { Pixels } from '../intake/photoTypes.ts';
import { lightAlong } from '../intake/scaleLight.ts';

/**
 * Where the picture changes along a line through (x, y) with unit direction (dx, dy), read over ±`reach` pixels: the
 * distance from (x, y), or undefined where no edge is to be seen.
 */
export type EdgeReader = (x: number, y: number, dx: number, dy: number, reach: number) => number | undefined;

/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 2.5;
/** Variance of linear light that even a plain side has: a camera's noise and 8-bit steps. */
const LEAST_VARIANCE = 2e-6;
const CHANNELS = 3;
/** Most samples along a line. */
const MOST_STEPS = 256;

/**
 * Reads edges by colour, in linear light, where blur does not move an edge. The two sides are the means of the outer
 * quarters of the line; all samples are projected onto the difference between them, each channel weighed by how little
 * it varies on either side; the edge stands where a sharp step would hold as much light.
 */
export function colourEdges(picture: Pixels): EdgeReader {
  const samples = new Float64Array(CHANNELS * MOST_STEPS);
  return (x, y, dx, dy, reach) => {
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
      sum += weight * (all - steps * a);
    }
    if (contrast < CONTRAST * CONTRAST) return undefined;
    // Light before the edge is 0 and after it `contrast`: sum·step = contrast·(reach − at).
    const at = reach - (sum * step) / contrast;
    return Math.abs(at) <= reach / 2 ? at : undefined;
  };
}
