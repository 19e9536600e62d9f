import { nextCorner } from './meshCorner.ts';
import { triangulateRing } from './meshEarCut.ts';
import type { Hole } from './meshHoles.ts';
import { edgeAcross } from './rimFolds.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** Longer rims get a fan: cutting triangles between their vertices takes time with the square of the length. */
const LONGEST_FLAT = 2000;

/** A mesh with its twins. */
export interface TwinnedMesh {
  readonly mesh: TriangleMesh;
  readonly twins: Twins;
}

/**
 * Closes holes: with triangles between the vertices of the rim where it can be seen flat without crossing itself, else
 * with a fan to its mean point. A sharp edge that runs into a hole on both sides goes straight on across it, and either side
 * of it is closed by itself: one patch from face to face would cut the edge away. In any case the patch stays within the
 * rim's convex hull. Returns new arrays; the inputs stay untouched.
 */
export function closeHoles({ mesh, twins }: TwinnedMesh, holes: readonly Hole[]): TwinnedMesh {
  const patches = holes.filter(({ rim }) => rim.length > 2).map((hole) => patchFor(mesh, twins, hole));
  const numAdded = patches.reduce((sum, { corners }) => sum + corners.length, 0);
  const numFans = patches.filter(({ middle }) => middle !== undefined).length;
  const positions = new Float64Array(mesh.positions.length + 3 * numFans);
  const triangles = new Uint32Array(mesh.triangles.length + numAdded);
  const grownTwins = new Uint32Array(triangles.length).fill(NO_TWIN);
  positions.set(mesh.positions);
  triangles.set(mesh.triangles);
  grownTwins.set(twins);
  let vertex = mesh.positions.length / 3;
  let corner = mesh.triangles.length;
  for (const { rim, corners, middle } of patches) {
    for (let k = 0; k < corners.length; k++)
      triangles[corner + k] = corners[k] === NO_TWIN ? vertex : corners[k];
    if (middle !== undefined) positions.set(middle, 3 * vertex++);
    sewIn(triangles, grownTwins, rim, corner, corner + corners.length);
    corner += corners.length;
  }
  // A rim of two half-edges is a slit: its sides are each other's twins.
  for (const { rim } of holes) {
    if (rim.length !== 2) continue;
    grownTwins[rim[0]] = rim[1];
    grownTwins[rim[1]] = rim[0];
  }
  return { mesh: { positions, triangles }, twins: grownTwins };
}

interface Patch {
  readonly rim: Uint32Array;
  /** Vertices, three for each triangle; NO_TWIN stands for the new one in the middle. */
  readonly corners: Uint32Array;
  readonly middle: readonly number[] | undefined;
}

function patchFor(mesh: TriangleMesh, twins: Twins, { rim }: Hole): Patch {
  const { positions, triangles } = mesh;
  const folded = rim.length <= LONGEST_FLAT ? foldedPatch(mesh, twins, rim) : undefined;
  if (folded !== undefined) return { rim, corners: folded, middle: undefined };
  // The surface runs along the rim one way, so the patch must run the other.
  const ring = Uint32Array.from(rim, (h) => triangles[h]).reverse();
  const flat = ring.length <= LONGEST_FLAT ? triangulateRing(positions, ring) : null;
  if (flat !== null) return { rim, corners: flat, middle: undefined };
  const corners = new Uint32Array(3 * ring.length);
  const middle = [0, 0, 0];
  ring.forEach((v, k) => {
    corners.set([v, ring[(k + 1) % ring.length], NO_TWIN], 3 * k);
    for (let axis = 0; axis < 3; axis++) middle[axis] += positions[3 * v + axis] / ring.length;
  });
  return { rim, corners, middle };
}

/** Two flat patches that meet in the line from where a sharp edge runs into the hole to where it comes out again. */
function foldedPatch(mesh: TriangleMesh, twins: Twins, rim: Uint32Array): Uint32Array | undefined {
  const across = edgeAcross(mesh, twins, rim);
  if (across === undefined) return undefined;
  const [a, b] = across;
  const ring = Uint32Array.from(rim, (h) => mesh.triangles[h]);
  const sides = [ring.slice(a, b + 1), Uint32Array.of(...ring.slice(b), ...ring.slice(0, a + 1))];
  const [one, other] = sides.map((side) => triangulateRing(mesh.positions, side.reverse()));
  if (one === null || other === null) return undefined;
  const corners = new Uint32Array(one.length + other.length);
  corners.set(one);
  corners.set(other, one.length);
  return corners;
}

/** Sets the twins of the patch that fills corners `from` to `to`, among themselves and with the rim. */
function sewIn(triangles: Uint32Array, twins: Twins, rim: Uint32Array, from: number, to: number): void {
  const waiting = new Map<string, number>();
  const key = (a: number, b: number): string => `${a} ${b}`;
  const meet = (h: number): void => {
    const a = triangles[h];
    const b = triangles[nextCorner(h)];
    const other = waiting.get(key(b, a));
    if (other === undefined) {
      waiting.set(key(a, b), h);
      return;
    }
    waiting.delete(key(b, a));
    twins[h] = other;
    twins[other] = h;
  };
  for (const h of rim) meet(h);
  for (let h = from; h < to; h++) meet(h);
}
