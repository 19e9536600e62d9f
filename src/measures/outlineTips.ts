import type { Points2 } from '../geometry/types.ts';
import type { ScanQuality } from '../trace/types.ts';

/** The sides of an end are taken this many mean edges away from it along the outline, and never farther than this share of its points. */
const SIDE_EDGES = 6;
const MOST_POINTS = 1 / 8;
/** A picture's noise is taken off along a side from both directions, at an end from one: so much more of it is left there. */
const LEFT_AT_ENDS = 3;
/** However acute, an end is not farther out than this many point errors by its sides alone. */
const MOST = 5;

/**
 * By how much the place of an extreme point of an outline is more uncertain than a point of its sides: it is where the two
 * sides meet, and 1 mm of error in each moves it by 1/(√2·sin ½α) mm outward, α the angle between them. A flat end is as sure as
 * its side, half of the errors of both.
 *
 * @param at the place of the extreme point in the ring
 */
export function endFactor(ring: Points2, at: number, quality: ScanQuality): number {
  const reach = SIDE_EDGES * quality.meanEdge;
  const [ux, uy] = sideOf(ring, at, -1, reach);
  const [vx, vy] = sideOf(ring, at, 1, reach);
  const angle = Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy));
  return LEFT_AT_ENDS * Math.min(MOST, 1 / (Math.SQRT2 * Math.sin(angle / 2)));
}

/** From a point of the ring to where it is `reach` mm on along it, one way (1) or the other (−1). */
function sideOf(ring: Points2, at: number, way: number, reach: number): [number, number] {
  const n = ring.length / 2;
  const most = Math.max(1, Math.floor(MOST_POINTS * n));
  let x = ring[2 * at];
  let y = ring[2 * at + 1];
  let left = reach;
  for (let k = 1; k <= most; k++) {
    const i = (at + way * k + n) % n;
    const dx = ring[2 * i] - x;
    const dy = ring[2 * i + 1] - y;
    const size = Math.sqrt(dx * dx + dy * dy);
    const share = size > left ? left / size : 1;
    x += share * dx;
    y += share * dy;
    left -= size;
    if (left <= 0) break;
  }
  return [x - ring[2 * at], y - ring[2 * at + 1]];
}

/** The point of a ring nearest to a place. */
export function nearestPoint(ring: Points2, x: number, y: number): number {
  let at = 0;
  let least = Infinity;
  for (let i = 0; i < ring.length; i += 2) {
    const dx = ring[i] - x;
    const dy = ring[i + 1] - y;
    const away = dx * dx + dy * dy;
    if (away < least) {
      least = away;
      at = i / 2;
    }
  }
  return at;
}

/** Index of the point of a ring that lies farthest towards the tip. */
export function highestPoint(ring: Points2): number {
  let highest = 0;
  for (let i = 1; i < ring.length / 2; i++) if (ring[2 * i + 1] > ring[2 * highest + 1]) highest = i;
  return highest;
}
