import { nextCorner } from './meshCorner.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** A hole: half-edges without a twin, each ending where the next begins, and the length of that rim. */
export interface Hole {
  readonly rim: Uint32Array;
  readonly length: number;
}

/**
 * Every hole of an oriented mesh. At a vertex where several holes touch, the rim turns into the next one round the
 * vertex across the surface between, and is then split, so that no rim visits a vertex twice.
 */
export function findHoles(mesh: TriangleMesh, twins: Twins): Hole[] {
  const { triangles } = mesh;
  const seen = new Set<number>();
  const holes: Hole[] = [];
  for (let h = 0; h < triangles.length; h++) {
    if (twins[h] !== NO_TWIN || seen.has(h)) continue;
    const rim: number[] = [];
    for (let g = h; !seen.has(g); g = nextOnRim(twins, g)) {
      seen.add(g);
      rim.push(g);
    }
    for (const simple of splitRim(triangles, rim)) {
      holes.push({ rim: Uint32Array.from(simple), length: rimLength(mesh, simple) });
    }
  }
  return holes;
}

/** The rim half-edge that leaves the vertex where h ends: round that vertex until the surface stops. */
function nextOnRim(twins: Twins, h: number): number {
  let g = nextCorner(h);
  while (twins[g] !== NO_TWIN) g = nextCorner(twins[g]);
  return g;
}

/** Cuts a closed walk at every vertex it visits twice. */
function splitRim(triangles: Uint32Array, rim: readonly number[]): number[][] {
  const loops: number[][] = [];
  const path: number[] = [];
  const placeOf = new Map<number, number>();
  for (const h of rim) {
    placeOf.set(triangles[h], path.length);
    path.push(h);
    const end = triangles[nextCorner(h)];
    const start = placeOf.get(end);
    if (start === undefined) continue;
    const loop = path.splice(start);
    for (const g of loop) placeOf.delete(triangles[g]);
    loops.push(loop);
  }
  return loops;
}

function rimLength({ positions: p, triangles }: TriangleMesh, rim: readonly number[]): number {
  let length = 0;
  for (const h of rim) {
    const a = 3 * triangles[h];
    const b = 3 * triangles[nextCorner(h)];
    length += Math.hypot(p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]);
  }
  return length;
}
