import { EndType, inflatePaths, JoinType, type Path64 } from 'clipper2-ts';
import { polygonMoments } from './polygonMoments.ts';
import type { Points2 } from './types.ts';

/** Coordinates are rounded to whole numbers up to this, so that products stay exact. */
const LARGEST = 2 ** 24;
/** Corners are carried on to at most this many distances: 29° is the sharpest that comes to its point. */
const MITRE = 4;

/**
 * A region's rings moved outward by a distance, its outer corners to where their sides meet; the outer ring first, then holes.
 * Outer rings run counter-clockwise, holes clockwise. Should it fall into parts, the greatest is given.
 */
export function movedOutward(rings: readonly Points2[], distance: number): Points2[] {
  const reach = rings[0].reduce((most, v) => Math.max(most, Math.abs(v)), Math.abs(distance));
  const scale = LARGEST / (reach || 1);
  const paths = rings.map((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => ({
      x: Math.round(ring[2 * i] * scale),
      y: Math.round(ring[2 * i + 1] * scale),
    })),
  );
  const moved = inflatePaths(paths, distance * scale, JoinType.Miter, EndType.Polygon, MITRE)
    .filter((path) => path.length >= 3)
    .map((path) => fromPath(path, scale));
  const areas = moved.map((ring) => polygonMoments([ring]).area);
  const outer = areas.indexOf(Math.max(...areas));
  return [moved[outer], ...moved.filter((_, i) => areas[i] < 0)];
}

function fromPath(path: Path64, scale: number): Points2 {
  const out = new Float64Array(2 * path.length);
  path.forEach(({ x, y }, i) => {
    out[2 * i] = x / scale;
    out[2 * i + 1] = y / scale;
  });
  return out;
}
