import { apexCorner, nextCorner } from './meshCorner.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** A triangle whose height is below this share of its longest side has its corners on a line. */
const FLAT = 1e-12;
const MOST_ROUNDS = 8;

/**
 * Rids an oriented mesh of triangles with all corners on one line, without opening it: the longest side is turned to join
 * the corner in the middle with the one across. Works on `triangles` and `twins` in place; returns how many are gone.
 * A flat triangle stays where turning would make an edge that exists already.
 */
export function turnFlatTriangles({ positions, triangles }: TriangleMesh, twins: Twins): number {
  let gone = 0;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    let turned = 0;
    for (let t = 0; t < triangles.length; t += 3) {
      const longest = longestIfFlat(positions, triangles, t);
      if (longest !== -1 && turnEdge(triangles, twins, longest)) turned++;
    }
    if (turned === 0) break;
    gone += turned;
  }
  return gone;
}

/** Whether the triangle that begins at corner `t` has its corners on a line; its longest half-edge, or −1. */
function longestIfFlat(p: Float64Array, triangles: Uint32Array, t: number): number {
  const a = 3 * triangles[t];
  const b = 3 * triangles[t + 1];
  const c = 3 * triangles[t + 2];
  const ux = p[b] - p[a];
  const uy = p[b + 1] - p[a + 1];
  const uz = p[b + 2] - p[a + 2];
  const vx = p[c] - p[a];
  const vy = p[c + 1] - p[a + 1];
  const vz = p[c + 2] - p[a + 2];
  const nx = uy * vz - uz * vy;
  const ny = uz * vx - ux * vz;
  const nz = ux * vy - uy * vx;
  const ab = ux * ux + uy * uy + uz * uz;
  const ca = vx * vx + vy * vy + vz * vz;
  const bc = (vx - ux) ** 2 + (vy - uy) ** 2 + (vz - uz) ** 2;
  const most = Math.max(ab, bc, ca);
  if (Math.sqrt(nx * nx + ny * ny + nz * nz) > FLAT * most) return -1;
  return most === ab ? t : most === bc ? t + 1 : t + 2;
}

/** Replaces the edge of half-edge h (a→c, apex b; across it d) by b–d. Returns false where that is not possible. */
function turnEdge(triangles: Uint32Array, twins: Twins, h: number): boolean {
  const g = twins[h];
  if (g === NO_TWIN) return false;
  const b = triangles[apexCorner(h)];
  const d = triangles[apexCorner(g)];
  if (b === d || isEdge(triangles, twins, apexCorner(h), d)) return false;
  // Round the two triangles: c→b and b→a of the one, a→d and d→c of the other.
  const cb = nextCorner(h);
  const ba = apexCorner(h);
  const ad = nextCorner(g);
  const dc = apexCorner(g);
  const outer = [twins[ba], twins[ad], twins[dc], twins[cb]];
  const a = triangles[h];
  const c = triangles[g];
  const first = h - (h % 3);
  const second = g - (g % 3);
  triangles.set([b, a, d], first);
  triangles.set([d, c, b], second);
  const inner = [first, first + 1, second, second + 1];
  // Two of the four outer sides may be twins of each other.
  const old = [ba, ad, dc, cb];
  for (let k = 0; k < 4; k++) {
    const within = old.indexOf(outer[k]);
    const twin = within === -1 ? outer[k] : inner[within];
    twins[inner[k]] = twin;
    if (twin !== NO_TWIN) twins[twin] = inner[k];
  }
  twins[first + 2] = second + 2;
  twins[second + 2] = first + 2;
  return true;
}

/** Whether an edge joins the vertex of corner h with vertex d: round it one way, and at a hole the other way as well. */
function isEdge(triangles: Uint32Array, twins: Twins, h: number, d: number): boolean {
  let leaving = h;
  do {
    if (triangles[nextCorner(leaving)] === d || triangles[apexCorner(leaving)] === d) return true;
    leaving = twins[apexCorner(leaving)];
  } while (leaving !== h && leaving !== NO_TWIN);
  if (leaving === h) return false;
  let entering = twins[h];
  while (entering !== NO_TWIN) {
    leaving = nextCorner(entering);
    if (triangles[nextCorner(leaving)] === d) return true;
    entering = twins[leaving];
  }
  return false;
}
