import { convexHull } from './hull.ts';
import type { Points2 } from './types.ts';

export interface FeretDiameters {
  /** Greatest and least distance between two parallel lines that touch the points from either side. */
  readonly max: number;
  readonly min: number;
}

/**
 * Greatest and least caliper diameter of a set of points, exact. The least lies square to an edge of the hull, the
 * greatest joins two corners that parallel lines can touch at once (rotating calipers, Shamos 1978). O(n log n).
 */
export function feretDiameters(points: Points2): FeretDiameters {
  const hull = convexHull(points);
  const n = hull.length / 2;
  if (n < 3) return { max: n === 2 ? Math.hypot(hull[2] - hull[0], hull[3] - hull[1]) : 0, min: 0 };
  let maxSq = 0;
  let min = Infinity;
  let far = 1;
  for (let edge = 0; edge < n; edge++) {
    const next = (edge + 1) % n;
    // The farthest corner only moves on as the edge turns. Corners passed on the way touch with this edge's start.
    while (heightOver(hull, edge, (far + 1) % n) > heightOver(hull, edge, far)) {
      far = (far + 1) % n;
      maxSq = Math.max(maxSq, distanceSq(hull, edge, far));
    }
    const base = distanceSq(hull, edge, next);
    maxSq = Math.max(maxSq, distanceSq(hull, edge, far), distanceSq(hull, next, far));
    min = Math.min(min, heightOver(hull, edge, far) / Math.sqrt(base));
  }
  return { max: Math.sqrt(maxSq), min };
}

/** Distance of a corner from an edge's line, times the edge's length. */
function heightOver(hull: Points2, edge: number, corner: number): number {
  const a = 2 * edge;
  const b = a + 2 === hull.length ? 0 : a + 2;
  const p = 2 * corner;
  return (
    (hull[b] - hull[a]) * (hull[p + 1] - hull[a + 1]) - (hull[b + 1] - hull[a + 1]) * (hull[p] - hull[a])
  );
}

function distanceSq(hull: Points2, i: number, j: number): number {
  return (hull[2 * i] - hull[2 * j]) ** 2 + (hull[2 * i + 1] - hull[2 * j + 1]) ** 2;
}
