import { convexHull } from './hull.ts';
import type { Points2 } from './types.ts';

export interface FeretDiameters {
  /** Greatest and least distance between two parallel lines that touch the points from either side. */
  readonly max: number;
  readonly min: number;
}

/** Where the greatest and the least diameter of a convex ring lie; corners are counted from 0. */
export interface FeretPlaces extends FeretDiameters {
  /** The corners that lie farthest apart. */
  readonly ends: readonly [number, number];
  /** The least lies between the line of the edge that begins at corner `edge` and the corner `far`. */
  readonly edge: number;
  readonly far: number;
}

/**
 * Greatest and least caliper diameter of a set of points, exact. The least lies square to an edge of the hull, the
 * greatest joins two corners that parallel lines can touch at once (rotating calipers, Shamos 1978). O(n log n).
 */
export function feretDiameters(points: Points2): FeretDiameters {
  const { max, min } = feretPlaces(convexHull(points));
  return { max, min };
}

/** The same of a convex ring, counter-clockwise and without collinear points, with where they lie. O(n). */
export function feretPlaces(hull: Points2): FeretPlaces {
  const n = hull.length / 2;
  if (n < 3) {
    const max = n === 2 ? Math.hypot(hull[2] - hull[0], hull[3] - hull[1]) : 0;
    return { max, min: 0, ends: [0, n === 2 ? 1 : 0], edge: 0, far: 0 };
  }
  let maxSq = 0;
  let ends: readonly [number, number] = [0, 0];
  const reach = (i: number, j: number): void => {
    const distance = distanceSq(hull, i, j);
    if (distance > maxSq) [maxSq, ends] = [distance, [i, j]];
  };
  let min = Infinity;
  let least = { edge: 0, far: 0 };
  let far = 1;
  for (let edge = 0; edge < n; edge++) {
    const next = (edge + 1) % n;
    // The farthest corner only moves on as the edge turns. Corners passed on the way touch with this edge's start.
    while (heightOver(hull, edge, (far + 1) % n) > heightOver(hull, edge, far)) {
      far = (far + 1) % n;
      reach(edge, far);
    }
    reach(edge, far);
    reach(next, far);
    const height = heightOver(hull, edge, far) / Math.sqrt(distanceSq(hull, edge, next));
    if (height < min) [min, least] = [height, { edge, far }];
  }
  return { max: Math.sqrt(maxSq), min, ends, ...least };
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
