import { planarCurve, resampleRing } from './curvePlanar.ts';
import type { Points2 } from './types.ts';

/**
 * How far the points of a closed line stand off a smooth line through their neighbours, and how far its chords stay inside
 * that line: robust standard deviation and median sag, in the unit of the points.
 */
export interface RingRoughness {
  readonly stray: number;
  readonly sag: number;
}

/**
 * What independent errors of size one grow to under the weights ¼, −1, 1½, −1, ¼ that take a point's smooth surroundings off
 * it, where the points lie anywhere between two corners: root of ⅔ of their sum of squares and ⅓ of that of neighbours'
 * products.
 */
const GAIN = Math.sqrt((2 / 3) * 4.375 - (1 / 3) * 3.5);
/** A median magnitude times this is the standard deviation of a normal law. */
const NORMAL = 1.4826;

/**
 * Reads both off offsets of each point from the chord of its neighbours, at equal steps: a steady offset is curvature,
 * what changes from point to point is stray. Corners are few and do not move medians. O(n log n).
 */
export function ringRoughness(ring: Points2, step: number): RingRoughness {
  const curve = planarCurve(ring);
  const n = Math.floor(curve.length / step);
  if (!(n >= 8)) return { stray: 0, sag: 0 };
  const p = resampleRing(curve, n);
  const offset = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = 2 * ((i + n - 1) % n);
    const b = 2 * ((i + 1) % n);
    const dx = p[b] - p[a];
    const dy = p[b + 1] - p[a + 1];
    const chord = Math.hypot(dx, dy);
    const cross = dx * (p[2 * i + 1] - p[a + 1]) - dy * (p[2 * i] - p[a]);
    offset[i] = chord > 0 ? cross / chord : 0;
  }
  const change = offset
    .map((d, i) => Math.abs(d - (offset[(i + n - 1) % n] + offset[(i + 1) % n]) / 2))
    .sort();
  const bend = offset.map(Math.abs).sort();
  // Over twice the step the middle of a chord is four times as far off.
  return { stray: (NORMAL * change[n >> 1]) / GAIN, sag: bend[n >> 1] / 4 };
}
