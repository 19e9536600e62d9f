import { nextCorner } from './meshCorner.ts';
import { NO_TWIN, type Twins } from './types.ts';

/** Beyond this many comparisons a rim is no crack but a cloud; stitching stops there and leaves the rest open. */
const MOST_COMPARISONS = 50_000_000;

/** Share of the shortest open edge at a vertex that it may move: too little to collapse anything. */
const SHARE_OF_EDGE = 0.1;

/** A direction that no wall of a made shape is square to, so that few rim vertices share a place along it. */
const SLANT = [0.5377, 0.6192, 0.5721] as const;

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
  const vertices = inOrderAlong(positions, reach);
  const joined = new Uint32Array(reach.length).fill(NO_TWIN);
  let numJoined = 0;
  let comparisons = 0;
  for (let i = 0; i < vertices.length && comparisons < MOST_COMPARISONS; i++) {
    const v = vertices[i];
    if (joined[v] !== NO_TWIN) continue;
    const last = along(positions, v) + 2 * tolerance;
    for (let j = i + 1; j < vertices.length && comparisons < MOST_COMPARISONS; j++) {
      const w = vertices[j];
      comparisons++;
      if (along(positions, w) > last) break;
      if (joined[w] !== NO_TWIN || distance(positions, v, w) > Math.min(reach[v], reach[w])) continue;
      joined[w] = v;
      numJoined++;
    }
  }
  if (numJoined === 0) return 0;
  for (let h = 0; h < triangles.length; h++) {
    const to = joined[triangles[h]];
    if (to !== NO_TWIN) triangles[h] = to;
  }
  return numJoined;
}

/** For each vertex how far it may be moved: not at all unless it lies on an open edge. */
function reachOfRimVertices(
  positions: Float64Array,
  triangles: Uint32Array,
  pairs: Twins,
  tolerance: number,
): Float64Array {
  const reach = new Float64Array(positions.length / 3).fill(Number.NaN);
  for (let h = 0; h < pairs.length; h++) {
    if (pairs[h] !== NO_TWIN) continue;
    const a = triangles[h];
    const b = triangles[nextCorner(h)];
    const limit = Math.min(tolerance, SHARE_OF_EDGE * distance(positions, a, b));
    if (!(reach[a] <= limit)) reach[a] = limit;
    if (!(reach[b] <= limit)) reach[b] = limit;
  }
  return reach;
}

/**
 * The vertices that have a reach, sorted along SLANT to a part in 2³². Place and number share one word, which sorts many
 * times faster than a comparison would.
 */
function inOrderAlong(positions: Float64Array, reach: Float64Array): Uint32Array {
  const vertices = Uint32Array.from(reach.keys()).filter((v) => !Number.isNaN(reach[v]));
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const v of vertices) {
    low = Math.min(low, along(positions, v));
    high = Math.max(high, along(positions, v));
  }
  const scale = high > low ? (2 ** 32 - 1) / (high - low) : 0;
  const words = new BigUint64Array(vertices.length);
  for (let i = 0; i < vertices.length; i++) {
    const place = Math.floor((along(positions, vertices[i]) - low) * scale);
    words[i] = (BigInt(place) << 32n) | BigInt(vertices[i]);
  }
  words.sort();
  for (let i = 0; i < vertices.length; i++) vertices[i] = Number(words[i] & 0xffffffffn);
  return vertices;
}

function along(p: Float64Array, v: number): number {
  return SLANT[0] * p[3 * v] + SLANT[1] * p[3 * v + 1] + SLANT[2] * p[3 * v + 2];
}

function distance(p: Float64Array, a: number, b: number): number {
  return Math.hypot(p[3 * b] - p[3 * a], p[3 * b + 1] - p[3 * a + 1], p[3 * b + 2] - p[3 * a + 2]);
}
