import { EndType, inflatePaths, JoinType } from 'clipper2-ts';
import { polygonMoments } from './polygonMoments.ts';
import { fromPath, pathScale, reachOf, toPaths } from './polygonPaths.ts';
import type { Points2 } from './types.ts';

/** Corners are carried on to at most this many distances: 29° is the sharpest that comes to its point. */
const MITRE = 4;

/**
 * A region's rings moved outward by a distance, its outer corners to where their sides meet; the outer ring first, then holes.
 * Outer rings run counter-clockwise, holes clockwise. Should it fall into parts, the greatest is given.
 */
export function movedOutward(rings: readonly Points2[], distance: number): Points2[] {
  const scale = pathScale(Math.max(reachOf(rings), Math.abs(distance)));
  const paths = toPaths(rings, scale);
  const moved = inflatePaths(paths, distance * scale, JoinType.Miter, EndType.Polygon, MITRE)
    .filter((path) => path.length >= 3)
    .map((path) => fromPath(path, scale));
  const areas = moved.map((ring) => polygonMoments([ring]).area);
  const outer = areas.indexOf(Math.max(...areas));
  return [moved[outer], ...moved.filter((_, i) => areas[i] < 0)];
}
