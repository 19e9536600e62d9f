import type { Points2 } from '../geometry/types.ts';
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
  let [soft, count] = [0, 0];
  for (let i = 0; i < n; i += step) {
    if (leave !== undefined && leave[i] > 0) continue;
    const [a, b] = [(i + n - arm) % n, (i + arm) % n];
    const [dx, dy] = [ring[2 * b] - ring[2 * a], ring[2 * b + 1] - ring[2 * a + 1]];
    const size = Math.hypot(dx, dy) || 1;
    const [nx, ny] = [dy / size, -dx / size];
    const difference = (reach: number): number => {
      const [x, y] = [ring[2 * i], ring[2 * i + 1]];
      let squares = 0;
      for (let c = 0; c < CHANNELS; c++) {
        const outer = codeAt(picture, x + reach * nx, y + reach * ny, c);
        squares += (outer - codeAt(picture, x - reach * nx, y - reach * ny, c)) ** 2;
      }
      return Math.sqrt(squares);
    };
    count++;
    if (difference(NEAR) < SHARP * difference(FAR)) soft++;
  }
  return count === 0 ? 0 : soft / count;
}

/** Code of one channel, 0…255, as the mean of the 2 × 2 pixels about a place. */
function codeAt({ width, height, rgba }: Pixels, x: number, y: number, channel: number): number {
  const i = Math.min(width - 2, Math.max(0, Math.floor(x)));
  const j = Math.min(height - 2, Math.max(0, Math.floor(y)));
  const k = 4 * (j * width + i) + channel;
  const below = k + 4 * width;
  return (rgba[k] + rgba[k + 4] + rgba[below] + rgba[below + 4]) / 4;
}
