import { nextCorner } from './meshCorner.ts';
import { NO_TWIN, type Twins } from './types.ts';

/** Beyond this many comparisons a rim is no crack but a cloud; stitching stops there and leaves the rest open. */
const MOST_COMPARISONS = 50_000_000;

/** Share of the shortest open edge at a vertex that it may move: too little to collapse anything. */
const SHARE_OF_EDGE = 0.1;

/**
 * Joins vertices on open edges that lie within `tolerance` of each other: the two sides of a crack that rounding has torn.
 * A vertex never moves by more than a tenth of the shortest open edge at it. Renumbers `triangles` in place and returns
 * the number of vertices joined.
 */
export function stitchCracks(
  positions: Float64Array,
  triangles: Uint32Array,
  pairs: Twins,
  tolerance: number,
): number {
  const reach = reachOfRimVertices(positions, triangles, pairs, tolerance);
  // A direction that no wall of a made shape is square to, so that few rim vertices share a place along it.
  const along = (v: number): number =>
    0.5377 * positions[3 * v] + 0.6192 * positions[3 * v + 1] + 0.5721 * positions[3 * v + 2];
  const vertices = Uint32Array.from(reach.keys());
  const places = new Map<number, number>();
  for (const v of vertices) places.set(v, along(v));
  vertices.sort((a, b) => places.get(a)! - places.get(b)! || a - b);
  const joined = new Map<number, number>();
  let comparisons = 0;
  for (let i = 0; i < vertices.length && comparisons < MOST_COMPARISONS; i++) {
    const v = vertices[i];
    if (joined.has(v)) continue;
    for (let j = i + 1; j < vertices.length; j++) {
      const w = vertices[j];
      comparisons++;
      if (places.get(w)! - places.get(v)! > tolerance) break;
      if (joined.has(w)) continue;
      if (distance(positions, v, w) <= Math.min(reach.get(v)!, reach.get(w)!)) joined.set(w, v);
    }
  }
  if (joined.size > 0) {
    for (let h = 0; h < triangles.length; h++) triangles[h] = joined.get(triangles[h]) ?? triangles[h];
  }
  return joined.size;
}

/** For each vertex on an open edge, how far it may be moved. */
function reachOfRimVertices(
  positions: Float64Array,
  triangles: Uint32Array,
  pairs: Twins,
  tolerance: number,
): Map<number, number> {
  const reach = new Map<number, number>();
  for (let h = 0; h < pairs.length; h++) {
    if (pairs[h] !== NO_TWIN) continue;
    const a = triangles[h];
    const b = triangles[nextCorner(h)];
    const limit = Math.min(tolerance, SHARE_OF_EDGE * distance(positions, a, b));
    reach.set(a, Math.min(reach.get(a) ?? tolerance, limit));
    reach.set(b, Math.min(reach.get(b) ?? tolerance, limit));
  }
  return reach;
}

function distance(p: Float64Array, a: number, b: number): number {
  return Math.hypot(p[3 * b] - p[3 * a], p[3 * b + 1] - p[3 * a + 1], p[3 * b + 2] - p[3 * a + 2]);
}
