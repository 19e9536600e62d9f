import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

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
export function colourEdges({ width, height, rgba }: Pixels): EdgeReader {
  const samples = new Float64Array(CHANNELS * MOST_STEPS);
  const near = new Float64Array(CHANNELS);
  const far = new Float64Array(CHANNELS);
  return (x, y, dx, dy, reach) => {
    const steps = Math.min(MOST_STEPS, Math.max(16, 4 * Math.ceil(reach)));
    const step = (2 * reach) / steps;
    for (let i = 0; i < steps; i++) {
      const t = -reach + (i + 0.5) * step;
      sampleInto(x + t * dx, y + t * dy, samples, CHANNELS * i);
    }
    const quarter = steps >> 2;
    const weights = [0, 0, 0];
    let [contrast, sum] = [0, 0];
    for (let c = 0; c < CHANNELS; c++) {
      const a = meanOf(samples, c, 0, quarter);
      const b = meanOf(samples, c, steps - quarter, steps);
      const variance =
        LEAST_VARIANCE +
        (varianceOf(samples, c, 0, quarter, a) + varianceOf(samples, c, steps - quarter, steps, b)) / 2;
      near[c] = a;
      far[c] = b;
      weights[c] = (b - a) / variance;
      contrast += (b - a) * weights[c];
    }
    if (contrast < CONTRAST * CONTRAST) return undefined;
    for (let i = 0; i < steps; i++) {
      for (let c = 0; c < CHANNELS; c++) sum += weights[c] * (samples[CHANNELS * i + c] - near[c]);
    }
    // Light before the edge is 0 and after it `contrast`: sum·step = contrast·(reach − at).
    const at = reach - (sum * step) / contrast;
    return Math.abs(at) <= reach / 2 ? at : undefined;
  };

  function sampleInto(x: number, y: number, into: Float64Array, to: number): void {
    const u = Math.min(width - 1, Math.max(0, x));
    const v = Math.min(height - 1, Math.max(0, y));
    const i = Math.min(width - 2, Math.floor(u));
    const j = Math.min(height - 2, Math.floor(v));
    const [fx, fy] = [u - i, v - j];
    const k = 4 * (j * width + i);
    const below = k + 4 * width;
    for (let c = 0; c < CHANNELS; c++) {
      const upper = linearOf(rgba[k + c]) * (1 - fx) + linearOf(rgba[k + 4 + c]) * fx;
      const lower = linearOf(rgba[below + c]) * (1 - fx) + linearOf(rgba[below + 4 + c]) * fx;
      into[to + c] = upper * (1 - fy) + lower * fy;
    }
  }
}

function meanOf(samples: Float64Array, channel: number, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += samples[CHANNELS * i + channel];
  return sum / (to - from);
}

function varianceOf(samples: Float64Array, channel: number, from: number, to: number, mean: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += (samples[CHANNELS * i + channel] - mean) ** 2;
  return sum / (to - from);
}
