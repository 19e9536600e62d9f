import type { FeretPlaces } from '../../../geometry/feret.ts';
import type { Points2 } from '../../../geometry/types.ts';
import type { Place } from './marks.ts';

const cornerOf = (hull: Points2, k: number): Place => [hull[2 * k], hull[2 * k + 1], 0];

/** Both corners of a convex ring that lie farthest apart. */
export function farthest(hull: Points2, { ends: [from, to] }: FeretPlaces): [Place, Place] {
  return [cornerOf(hull, from), cornerOf(hull, to)];
}

export interface Gap {
  /** The jaw that lies along an edge of the ring, and the one that touches a corner. */
  readonly jaw: [Place, Place];
  readonly other: [Place, Place];
  /** From the one to the other, square to both, through the corner. */
  readonly across: [Place, Place];
}

/** The narrowest parallel jaws that a convex ring fits between: one of them lies along an edge. */
export function narrowest(hull: Points2, { edge, far, min }: FeretPlaces): Gap {
  const [x, y] = cornerOf(hull, edge);
  const [endX, endY] = cornerOf(hull, (edge + 1) % (hull.length / 2));
  const size = Math.hypot(endX - x, endY - y) || 1;
  // Unit along the edge; the piece lies to its left.
  const [ux, uy] = [(endX - x) / size, (endY - y) / size];
  const along = (k: number): number => (hull[2 * k] - x) * ux + (hull[2 * k + 1] - y) * uy;
  let [low, high] = [Infinity, -Infinity];
  for (let k = 0; k < hull.length / 2; k++) {
    low = Math.min(low, along(k));
    high = Math.max(high, along(k));
  }
  const at = (by: number, over: number): Place => [x + by * ux - over * uy, y + by * uy + over * ux, 0];
  return {
    jaw: [at(low, 0), at(high, 0)],
    other: [at(low, min), at(high, min)],
    across: [at(along(far), 0), at(along(far), min)],
  };
}
