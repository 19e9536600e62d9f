import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { lightInto } from '../intake/scaleLight.ts';

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
  const near = new Float64Array(CHANNELS);
  const far = new Float64Array(CHANNELS);
  return (x, y, dx, dy, reach) => {
    const steps = Math.min(MOST_STEPS, Math.max(16, 4 * Math.ceil(reach)));
    const step = (2 * reach) / steps;
    for (let i = 0; i < steps; i++) {
      const t = -reach + (i + 0.5) * step;
      lightInto(picture, x + t * dx, y + t * dy, samples, CHANNELS * i);
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
}

/** Pixels to either side at which an edge is compared with itself: near, where a sharp one is over, and far. */
const [NEAR, FAR] = [3, 10];
/** An edge of which less than this share lies between the near places is soft. */
const SHARP = 0.55;
const LOOKS = 500;

/**
 * Share of a ring along which the picture changes softly: the rim of a shadow, or an edge out of focus. A sharp edge has
 * nearly the whole of its contrast within a few pixels. Points with a number above 0 in `leave` are passed over.
 */
export function softShare(picture: Pixels, ring: Points2, leave?: Float64Array): number {
  const n = ring.length / 2;
  const step = Math.max(1, Math.floor(n / LOOKS));
  const arm = Math.max(3, 2 * step);
  const light = [0, 1, 2].map((c) => channelOf(picture, c));
  let [soft, count] = [0, 0];
  for (let i = 0; i < n; i += step) {
    if (leave !== undefined && leave[i] > 0) continue;
    const [a, b] = [(i + n - arm) % n, (i + arm) % n];
    const [dx, dy] = [ring[2 * b] - ring[2 * a], ring[2 * b + 1] - ring[2 * a + 1]];
    const size = Math.hypot(dx, dy) || 1;
    const [nx, ny] = [dy / size, -dx / size];
    const difference = (reach: number): number =>
      Math.hypot(
        ...light.map(
          (at) =>
            at(ring[2 * i] + reach * nx, ring[2 * i + 1] + reach * ny) -
            at(ring[2 * i] - reach * nx, ring[2 * i + 1] - reach * ny),
        ),
      );
    count++;
    if (difference(NEAR) < SHARP * difference(FAR)) soft++;
  }
  return count === 0 ? 0 : soft / count;
}

/** Code of one channel, 0…255, as the mean of the 2 × 2 pixels about a place. */
function channelOf({ width, height, rgba }: Pixels, channel: number): (x: number, y: number) => number {
  return (x, y) => {
    const i = Math.min(width - 2, Math.max(0, Math.floor(x)));
    const j = Math.min(height - 2, Math.max(0, Math.floor(y)));
    const k = 4 * (j * width + i) + channel;
    const below = k + 4 * width;
    return (rgba[k] + rgba[k + 4] + rgba[below] + rgba[below + 4]) / 4;
  };
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
