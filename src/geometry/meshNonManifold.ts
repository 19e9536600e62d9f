import { apexCorner, nextCorner } from './meshCorner.ts';
import { NO_TWIN, type Twins } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Bundles thicker than this are no surface; leaving them open also bounds the work. */
const THICKEST = 64;

/**
 * Pairs the half-edges (ascending) of one edge at which more than two triangles meet: those that run opposite ways,
 * flattest continuation first, so that a membrane or a flap falls off and the surface that it hangs on stays whole.
 * Triangles with the same corners as an earlier one are reported. Returns the number of half-edges paired.
 */
export function pairManyOnEdge(
  positions: Float64Array,
  triangles: Uint32Array,
  pairs: Twins,
  onEdge: Uint32Array,
  markDuplicate: (h: number) => void,
): number {
  const seen = new Set<number>();
  for (const h of onEdge) {
    const apex = triangles[apexCorner(h)];
    if (seen.has(apex)) markDuplicate(h);
    seen.add(apex);
  }
  if (onEdge.length > THICKEST) return 0;
  const candidates: { a: number; b: number; cosine: number }[] = [];
  for (const a of onEdge) {
    if (triangles[a] > triangles[nextCorner(a)]) continue;
    for (const b of onEdge) {
      if (triangles[b] === triangles[a]) continue;
      candidates.push({ a, b, cosine: cosineOfNormals(positions, triangles, a, b) });
    }
  }
  candidates.sort((p, q) => q.cosine - p.cosine || p.a - q.a || p.b - q.b);
  let numPaired = 0;
  for (const { a, b } of candidates) {
    if (pairs[a] !== NO_TWIN || pairs[b] !== NO_TWIN) continue;
    pairs[a] = b;
    pairs[b] = a;
    numPaired += 2;
  }
  return numPaired;
}

function cosineOfNormals(p: Float64Array, triangles: Uint32Array, a: number, b: number): number {
  const m = new Float64Array(3);
  const n = new Float64Array(3);
  twiceVectorArea(p, triangles, a - (a % 3), m);
  twiceVectorArea(p, triangles, b - (b % 3), n);
  const size = Math.hypot(...m) * Math.hypot(...n);
  return size > 0 ? (m[0] * n[0] + m[1] * n[1] + m[2] * n[2]) / size : -1;
}
