import type { Points3 } from '../geometry/types.ts';
import { midlineAt } from './midline.ts';
import { type MarginLine, type Midline, SIDES } from './types.ts';

const LEFT = SIDES.indexOf('left');
const RIGHT = SIDES.indexOf('right');
const TIP = SIDES.indexOf('tip');
const BASE = SIDES.indexOf('base');

/**
 * Orders a rim (counter-clockwise ring in the specimen frame with heights) as the margin: from the tip clockwise seen on
 * Face A (down the right side, up the left), with arc length and side.
 */
export function orderMargin(ring: Points3, midline: Midline, length: number): MarginLine {
  const n = ring.length / 3;
  let tip = 0;
  for (let i = 1; i < n; i++) if (ring[3 * i + 1] > ring[3 * tip + 1]) tip = i;
  const points = new Float64Array(3 * n);
  for (let k = 0; k < n; k++) {
    const i = 3 * ((tip - k + n) % n);
    points[3 * k] = ring[i];
    points[3 * k + 1] = ring[i + 1];
    points[3 * k + 2] = ring[i + 2];
  }
  const arc = new Float64Array(n);
  let whole = 0;
  for (let k = 1; k <= n; k++) {
    const a = 3 * (k - 1);
    const b = 3 * (k % n);
    whole += Math.hypot(points[b] - points[a], points[b + 1] - points[a + 1], points[b + 2] - points[a + 2]);
    if (k < n) arc[k] = whole;
  }
  const side = new Uint8Array(n);
  const base = baseMiddle(points, midlineAt(midline, length, 0.05 * length));
  for (let k = 0; k < n; k++) {
    const y = points[3 * k + 1];
    if (y > 0.95 * length) side[k] = TIP;
    else if (y < 0.05 * length) side[k] = BASE;
    else side[k] = k <= base ? RIGHT : LEFT;
  }
  return { points, arc, length: whole, side };
}

/**
 * Index of the last point of the right side: where the margin crosses x = middle lowest. The order round the margin tells
 * the sides apart even where a barb or a notch on one side throws the midline across the stem.
 */
function baseMiddle(points: Points3, middle: number): number {
  const n = points.length / 3;
  let last = 0;
  let lowest = Infinity;
  for (let k = 0; k < n; k++) {
    const next = 3 * ((k + 1) % n);
    const crosses = points[3 * k] > middle !== points[next] > middle;
    if (crosses && points[3 * k + 1] < lowest) {
      lowest = points[3 * k + 1];
      last = k;
    }
  }
  return last;
}
