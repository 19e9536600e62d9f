import type { Points2 } from '../../../geometry/types.ts';
import type { Place } from './marks.ts';

/** Both corners of a convex ring that lie farthest apart. O(n²), on hulls of some hundred corners. */
export function farthest(hull: Points2): [Place, Place] {
  let best: readonly [number, number] = [0, 0];
  let most = -1;
  for (let i = 0; i < hull.length; i += 2) {
    for (let j = i + 2; j < hull.length; j += 2) {
      const distance = (hull[i] - hull[j]) ** 2 + (hull[i + 1] - hull[j + 1]) ** 2;
      if (distance > most) [most, best] = [distance, [i, j]];
    }
  }
  const [i, j] = best;
  return [
    [hull[i], hull[i + 1], 0],
    [hull[j], hull[j + 1], 0],
  ];
}

export interface Gap {
  /** The jaw that lies along an edge of the ring, and the one that touches a corner. */
  readonly jaw: [Place, Place];
  readonly other: [Place, Place];
  /** From the one to the other, square to both, through the corner. */
  readonly across: [Place, Place];
}

/** The narrowest parallel jaws that a convex ring fits between: one of them lies along an edge. O(n²). */
export function narrowest(hull: Points2): Gap {
  let least = Infinity;
  let gap: Gap | null = null;
  for (let i = 0; i < hull.length; i += 2) {
    const j = (i + 2) % hull.length;
    const [ex, ey] = [hull[j] - hull[i], hull[j + 1] - hull[i + 1]];
    const size = Math.hypot(ex, ey);
    if (size === 0) continue;
    // Unit along the edge and, counter-clockwise ring, into the piece.
    const [ux, uy] = [ex / size, ey / size];
    let [farOver, farAlong] = [-1, 0];
    let [low, high] = [Infinity, -Infinity];
    for (let k = 0; k < hull.length; k += 2) {
      const [vx, vy] = [hull[k] - hull[i], hull[k + 1] - hull[i + 1]];
      const along = vx * ux + vy * uy;
      const over = vy * ux - vx * uy;
      low = Math.min(low, along);
      high = Math.max(high, along);
      if (over <= farOver) continue;
      farOver = over;
      farAlong = along;
    }
    if (farOver >= least) continue;
    least = farOver;
    const at = (along: number, over: number): Place => [
      hull[i] + along * ux - over * uy,
      hull[i + 1] + along * uy + over * ux,
      0,
    ];
    gap = {
      jaw: [at(low, 0), at(high, 0)],
      other: [at(low, farOver), at(high, farOver)],
      across: [at(farAlong, 0), at(farAlong, farOver)],
    };
  }
  if (gap === null) throw new Error('a hull has an edge');
  return gap;
}
