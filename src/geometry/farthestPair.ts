import { convexHull } from './hull.ts';
import type { Points2 } from './types.ts';

export interface FarthestPair {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly distance: number;
}

/** The two points of a set that lie farthest apart. Compares hull corners only: a few hundred of many thousand. */
export function farthestPair(points: Points2): FarthestPair {
  return farthestCorners(convexHull(points));
}

/** The same of a hull's own corners. */
export function farthestCorners(hull: Points2): FarthestPair {
  let best = -1;
  let first = 0;
  let second = 0;
  for (let i = 0; i < hull.length; i += 2) {
    for (let j = i + 2; j < hull.length; j += 2) {
      const d = (hull[i] - hull[j]) ** 2 + (hull[i + 1] - hull[j + 1]) ** 2;
      if (d > best) {
        best = d;
        first = i;
        second = j;
      }
    }
  }
  return {
    ax: hull[first],
    ay: hull[first + 1],
    bx: hull[second],
    by: hull[second + 1],
    distance: Math.sqrt(Math.max(0, best)),
  };
}
