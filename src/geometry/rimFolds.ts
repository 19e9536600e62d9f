import { nextCorner } from './meshCorner.ts';
import { symmetricEigen3 } from './symmetricEigen.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** Two faces that look this far apart (cosine of 45° between their normals) meet in an edge, if only a blunt one. */
const APART = Math.SQRT1_2;
/**
 * Normals along a face are one direction as far as their mean has this length. Round the top of a dome they turn evenly: parted
 * into halves over 45° apart, the mean of either is shorter.
 */
const ALIKE = 0.9;
const ROUNDS = 4;

/**
 * Where a hole lies across a sharp edge, the two places of its rim at which the edge runs into it, as places in `rim`: the
 * surface looks one way along the rim from the first to the second, and another, over 45° off, along the rest. Undefined
 * where the surface about the hole looks one way, or more than two.
 */
export function edgeAcross(mesh: TriangleMesh, twins: Twins, rim: Uint32Array): [number, number] | undefined {
  if (rim.length < 4) return undefined;
  const normals = rimNormals(mesh, rim);
  const first = twoSides(normals, rim.length);
  if (first === undefined) return undefined;
  const turns: number[] = [];
  for (let k = 0; k < rim.length; k++) {
    if (first[k] !== first[(k + rim.length - 1) % rim.length]) turns.push(k);
  }
  if (turns.length !== 2) return undefined;
  const [a, b] = turns;
  if (b - a < 2 || a + rim.length - b < 2) return undefined;
  return joined(mesh.triangles, twins, rim, a, b) ? undefined : [a, b];
}

/**
 * How long the rim of a hole is on one face: the whole rim, or where a sharp edge runs across the hole, the longer of the two
 * rims that the edge, carried straight on, parts it into.
 */
export function rimOnOneFace(mesh: TriangleMesh, twins: Twins, rim: Uint32Array): number {
  const across = edgeAcross(mesh, twins, rim);
  const { triangles, positions } = mesh;
  let [one, other] = [0, 0];
  rim.forEach((h, k) => {
    const size = apart(positions, triangles[h], triangles[nextCorner(h)]);
    if (across === undefined || (k >= across[0] && k < across[1])) one += size;
    else other += size;
  });
  if (across === undefined) return one;
  return apart(positions, triangles[rim[across[0]]], triangles[rim[across[1]]]) + Math.max(one, other);
}

function apart(p: Float64Array, i: number, j: number): number {
  return Math.hypot(p[3 * j] - p[3 * i], p[3 * j + 1] - p[3 * i + 1], p[3 * j + 2] - p[3 * i + 2]);
}

/** For each half-edge of the rim the unit normal of its triangle times the half-edge's length. */
function rimNormals({ positions: p, triangles }: TriangleMesh, rim: Uint32Array): Float64Array {
  const out = new Float64Array(3 * rim.length);
  rim.forEach((h, k) => {
    const a = 3 * triangles[h];
    const b = 3 * triangles[nextCorner(h)];
    const c = 3 * triangles[nextCorner(nextCorner(h))];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [vx, vy, vz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const size = Math.hypot(...n);
    const length = Math.hypot(ux, uy, uz);
    for (let axis = 0; axis < 3; axis++) out[3 * k + axis] = size > 0 ? (n[axis] * length) / size : 0;
  });
  return out;
}

/** Which normals belong to the first of two directions (1) and which to the second (0): two means, begun along the widest spread. */
function twoSides(normals: Float64Array, count: number): Uint8Array | undefined {
  const [mx, my, mz] = sumOf(normals, count, () => true).map((v) => v / count);
  let [xx, xy, xz, yy, yz, zz] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < normals.length; i += 3) {
    const [x, y, z] = [normals[i] - mx, normals[i + 1] - my, normals[i + 2] - mz];
    xx += x * x;
    xy += x * y;
    xz += x * z;
    yy += y * y;
    yz += y * z;
    zz += z * z;
  }
  let axis: readonly number[] = symmetricEigen3(xx, xy, xz, yy, yz, zz).vectors[2];
  let level = axis[0] * mx + axis[1] * my + axis[2] * mz;
  const first = new Uint8Array(count);
  for (let round = 0; ; round++) {
    for (let k = 0; k < count; k++) {
      const length = Math.hypot(normals[3 * k], normals[3 * k + 1], normals[3 * k + 2]);
      const along = normals[3 * k] * axis[0] + normals[3 * k + 1] * axis[1] + normals[3 * k + 2] * axis[2];
      first[k] = along > level * (round === 0 ? 1 : length) ? 1 : 0;
    }
    const a = meanOf(normals, first, 1);
    const b = meanOf(normals, first, 0);
    if (a === undefined || b === undefined) return undefined;
    if (round === ROUNDS) {
      const [la, lb] = [Math.hypot(...a), Math.hypot(...b)];
      const cosine = (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / (la * lb);
      return la > ALIKE && lb > ALIKE && cosine < APART ? first : undefined;
    }
    axis = a.map((v, i) => v - b[i]);
    level = a.reduce((sum, v, i) => sum + (axis[i] * (v + b[i])) / 2, 0);
  }
}

function sumOf(normals: Float64Array, count: number, takes: (k: number) => boolean): number[] {
  const sum = [0, 0, 0];
  for (let k = 0; k < count; k++)
    if (takes(k)) for (let axis = 0; axis < 3; axis++) sum[axis] += normals[3 * k + axis];
  return sum;
}

/** Mean of the unit normals of one side, each weighted by its length. */
function meanOf(normals: Float64Array, first: Uint8Array, side: number): number[] | undefined {
  const takes = (k: number): boolean => first[k] === side;
  let length = 0;
  for (let k = 0; k < first.length; k++)
    if (takes(k)) length += Math.hypot(normals[3 * k], normals[3 * k + 1], normals[3 * k + 2]);
  if (!(length > 0)) return undefined;
  return sumOf(normals, first.length, takes).map((v) => v / length);
}

/** Whether the surface has an edge between two vertices of the rim already. */
function joined(triangles: Uint32Array, twins: Twins, rim: Uint32Array, a: number, b: number): boolean {
  const target = triangles[rim[b]];
  for (let g = nextCorner(rim[(a + rim.length - 1) % rim.length]); ; g = nextCorner(twins[g])) {
    if (triangles[nextCorner(g)] === target) return true;
    if (twins[g] === NO_TWIN) return false;
  }
}
