import { planarCurve, sampleCurve } from '../geometry/curvePlanar.ts';
import type { Points2 } from '../geometry/types.ts';
import type { ScanQuality } from '../trace/types.ts';

/** The sides of an end are taken this many mean edges away from it along the outline. */
const SIDE_EDGES = 6;
/** A picture's noise is taken off along a side from both directions, at an end from one: so much more of it is left there. */
const LEFT_AT_ENDS = 3;
/** However acute, an end is not farther out than this many point errors by its sides alone. */
const MOST = 5;

/**
 * By how much the place of an extreme point of an outline is more uncertain than a point of its sides: it is where the two
 * sides meet, and 1 mm of error in each moves it by 1/(√2·sin ½α) mm outward, α the angle between them. A flat end is as sure as
 * its side, half of the errors of both.
 *
 * @param x, @param y the extreme point, on the ring
 */
export function endFactor(ring: Points2, x: number, y: number, quality: ScanQuality): number {
  const curve = planarCurve(ring);
  let at = 0;
  let least = Infinity;
  for (let i = 0; i < ring.length; i += 2) {
    const away = (ring[i] - x) ** 2 + (ring[i + 1] - y) ** 2;
    if (away < least) {
      least = away;
      at = i / 2;
    }
  }
  const reach = Math.min(SIDE_EDGES * quality.meanEdge, curve.length / 8);
  const [ax, ay, bx, by, cx, cy] = sampleCurve(curve, curve.arc[at] - reach, curve.arc[at] + reach, 3);
  const [ux, uy, vx, vy] = [ax - bx, ay - by, cx - bx, cy - by];
  const angle = Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy));
  return LEFT_AT_ENDS * Math.min(MOST, 1 / (Math.SQRT2 * Math.sin(angle / 2)));
}
