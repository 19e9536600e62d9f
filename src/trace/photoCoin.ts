import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';

/** A coin: its rim lies off an ellipse by less than this share of its radius (root of the mean square); knapped stone by more. */
const OFF_ELLIPSE = 0.006;
/** Least over greatest of its axes: no more than a camera that leans by 25° makes of a circle. */
const LEAN = 0.9;
/** Of a smaller one, pixels of radius, the reading of its rim tells too little. */
const LEAST_RADIUS = 30;

/** Whether the ring is as round as only what was turned or minted is, seen from wherever: a coin, a lens cap. */
export function isCoin(ring: Points2): boolean {
  const { x, y, xx, xy, yy } = polygonMoments([ring]);
  const [mean, half] = [(xx + yy) / 2, Math.hypot((xx - yy) / 2, xy)];
  // The variance along an axis of an ellipse is a quarter of its half-length squared.
  const [least, greatest] = [2 * Math.sqrt(Math.max(0, mean - half)), 2 * Math.sqrt(mean + half)];
  if (!(least > LEAST_RADIUS) || least < LEAN * greatest) return false;
  const determinant = xx * yy - xy * xy;
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const [dx, dy] = [ring[i] - x, ring[i + 1] - y];
    // Where the ellipse of the same second moments would be 1.
    const at = Math.sqrt((yy * dx * dx - 2 * xy * dx * dy + xx * dy * dy) / determinant) / 2;
    sum += (at - 1) ** 2;
  }
  return Math.sqrt(sum / (ring.length / 2)) < OFF_ELLIPSE;
}
