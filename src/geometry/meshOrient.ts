import type { Pairing } from './meshTwins.ts';
import { enclosedVolume } from './meshVolume.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/** Pieces of a mesh and how each of its triangles has to be turned to face outward. */
export interface Orientation {
  /** For each triangle its piece, numbered from 0 in order of first triangle. */
  readonly pieceOf: Uint32Array;
  /** 1 for each triangle whose winding must be turned round. */
  readonly flips: Uint8Array;
  /** Surface area and enclosed volume of each piece, in the mesh's own unit; the volume of an open piece is a guess. */
  readonly areas: Float64Array;
  readonly volumes: Float64Array;
  /** Edges cut because no winding suits both sides, as on a one-sided strip. */
  readonly numCut: number;
}

/** Volume over area^1.5, below which a surface is a sheet without an inside; a ball has 0.094. */
const FLAT = 1e-9;

/**
 * Floods each piece across its paired edges, giving every triangle the winding of its neighbour, then turns pieces whose
 * volume comes out negative, but for sheets too flat to have an inside. `pairs` is changed only where an edge has to be cut.
 */
export function orientPieces(
  positions: Float64Array,
  triangles: Uint32Array,
  { pairs, numSameWay }: Pick<Pairing, 'pairs' | 'numSameWay'>,
): Orientation {
  const numTriangles = triangles.length / 3;
  const pieceOf = new Uint32Array(numTriangles).fill(NO_TWIN);
  const flips = new Uint8Array(numTriangles);
  const { numPieces, numCut } =
    numSameWay === 0
      ? { numPieces: floodPieces(pairs, pieceOf), numCut: 0 }
      : floodWinding(triangles, pairs, pieceOf, flips);
  const { areas, volumes } = pieceSizes(positions, triangles, pieceOf, flips, numPieces);
  const inward = volumes.map((volume, piece) => (volume < -FLAT * areas[piece] ** 1.5 ? 1 : 0));
  if (inward.includes(1)) for (let t = 0; t < numTriangles; t++) flips[t] ^= inward[pieceOf[t]];
  return { pieceOf, flips, areas, volumes: volumes.map(Math.abs), numCut };
}

/** Numbers the pieces of a mesh whose winding is the same all over, last found first: neighbours are near in memory. Returns how many there are. */
function floodPieces(pairs: Twins, pieceOf: Uint32Array): number {
  const stack = new Uint32Array(pieceOf.length);
  let numPieces = 0;
  for (let seed = 0; seed < pieceOf.length; seed++) {
    if (pieceOf[seed] !== NO_TWIN) continue;
    pieceOf[seed] = numPieces;
    stack[0] = seed;
    for (let size = 1; size > 0; ) {
      const h = 3 * stack[--size];
      for (let corner = 0; corner < 3; corner++) {
        const pair = pairs[h + corner];
        if (pair === NO_TWIN) continue;
        const neighbour = (pair / 3) | 0;
        if (pieceOf[neighbour] !== NO_TWIN) continue;
        pieceOf[neighbour] = numPieces;
        stack[size++] = neighbour;
      }
    }
    numPieces++;
  }
  return numPieces;
}

/**
 * The same where windings differ: also finds which triangles to turn, and cuts edges that no choice suits. What is wound
 * alike is gone over first: a few edges with two triangles wound against each other, as clustering of vertices leaves
 * them where it lays two faces on one another, then are cut and turn nothing round that hangs together otherwise.
 */
function floodWinding(
  triangles: Uint32Array,
  pairs: Twins,
  pieceOf: Uint32Array,
  flips: Uint8Array,
): { numPieces: number; numCut: number } {
  const queue = new Uint32Array(pieceOf.length);
  const against: number[] = [];
  let numPieces = 0;
  let tail = 0;
  let head = 0;
  const take = (t: number, flip: number): void => {
    pieceOf[t] = numPieces;
    flips[t] = flip;
    queue[tail++] = t;
  };
  for (let seed = 0; seed < pieceOf.length; seed++) {
    if (pieceOf[seed] !== NO_TWIN) continue;
    take(seed, 0);
    for (;;) {
      for (; head < tail; head++) {
        const t = queue[head];
        for (let h = 3 * t; h < 3 * t + 3; h++) {
          const pair = pairs[h];
          if (pair === NO_TWIN) continue;
          const neighbour = (pair / 3) | 0;
          if (triangles[h] === triangles[pair]) against.push(h);
          else if (pieceOf[neighbour] === NO_TWIN) take(neighbour, flips[t]);
        }
      }
      const h = against.pop();
      if (h === undefined) break;
      const neighbour = (pairs[h] / 3) | 0;
      if (pieceOf[neighbour] === NO_TWIN) take(neighbour, flips[(h / 3) | 0] ^ 1);
    }
    numPieces++;
  }
  return { numPieces, numCut: cutAgainst(triangles, pairs, flips) };
}

/** Cuts edges whose two triangles are still wound against each other. Returns how many. */
function cutAgainst(triangles: Uint32Array, pairs: Twins, flips: Uint8Array): number {
  let numCut = 0;
  for (let h = 0; h < pairs.length; h++) {
    const pair = pairs[h];
    if (pair === NO_TWIN) continue;
    const sameWay = triangles[h] === triangles[pair] ? 1 : 0;
    if ((flips[(h / 3) | 0] ^ flips[(pair / 3) | 0]) === sameWay) continue;
    pairs[h] = NO_TWIN;
    pairs[pair] = NO_TWIN;
    numCut++;
  }
  return numCut;
}

/** Sums over the triangles of one piece, about its first corner; vectors as three numbers each. */
const AREA = 0;
const VOLUME = 1;
const VECTOR_AREA = 2;
const MOMENT = 5;
const NUM_SUMS = 8;

/** Area of each piece and its signed volume about its own centroid: that is what gives an open shell an inside. */
function pieceSizes(
  p: Float64Array,
  triangles: Uint32Array,
  pieceOf: Uint32Array,
  flips: Uint8Array,
  numPieces: number,
): { areas: Float64Array; volumes: Float64Array } {
  const sums = sumPieces(p, triangles, pieceOf, flips, originsOf(triangles, pieceOf, numPieces));
  const areas = new Float64Array(numPieces);
  const volumes = new Float64Array(numPieces);
  for (let piece = 0; piece < numPieces; piece++) {
    const at = NUM_SUMS * piece;
    areas[piece] = sums[at + AREA];
    let shift = 0;
    for (let axis = 0; axis < 3; axis++) shift += sums[at + MOMENT + axis] * sums[at + VECTOR_AREA + axis];
    volumes[piece] = sums[at + VOLUME] - (areas[piece] > 0 ? shift / (3 * areas[piece]) : 0);
  }
  return { areas, volumes };
}

/** Where in the positions the first corner of each piece stands. */
function originsOf(triangles: Uint32Array, pieceOf: Uint32Array, numPieces: number): Uint32Array {
  const origins = new Uint32Array(numPieces);
  for (let t = pieceOf.length - 1; t >= 0; t--) origins[pieceOf[t]] = 3 * triangles[3 * t];
  return origins;
}

/** NUM_SUMS sums for each piece. */
function sumPieces(
  p: Float64Array,
  triangles: Uint32Array,
  pieceOf: Uint32Array,
  flips: Uint8Array,
  origins: Uint32Array,
): Float64Array {
  const sums = new Float64Array(NUM_SUMS * origins.length);
  for (let t = 0; t < pieceOf.length; t++) {
    const o = origins[pieceOf[t]];
    const at = NUM_SUMS * pieceOf[t];
    const a = 3 * triangles[3 * t];
    const b = 3 * triangles[3 * t + 1];
    const c = 3 * triangles[3 * t + 2];
    const ax = p[a] - p[o];
    const ay = p[a + 1] - p[o + 1];
    const az = p[a + 2] - p[o + 2];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const half = flips[t] === 1 ? -0.5 : 0.5;
    const nx = half * (uy * vz - uz * vy);
    const ny = half * (uz * vx - ux * vz);
    const nz = half * (ux * vy - uy * vx);
    const area = Math.sqrt(nx * nx + ny * ny + nz * nz);
    sums[at + AREA] += area;
    sums[at + VOLUME] += (ax * nx + ay * ny + az * nz) / 3;
    sums[at + VECTOR_AREA] += nx;
    sums[at + VECTOR_AREA + 1] += ny;
    sums[at + VECTOR_AREA + 2] += nz;
    sums[at + MOMENT] += area * (ax + (ux + vx) / 3);
    sums[at + MOMENT + 1] += area * (ay + (uy + vy) / 3);
    sums[at + MOMENT + 2] += area * (az + (uz + vz) / 3);
  }
  return sums;
}

/** Turns round every flagged triangle and renumbers its half-edges in `pairs`. Both arrays are changed. */
export function applyFlips(triangles: Uint32Array, pairs: Twins, flips: Uint8Array): number {
  let numFlipped = 0;
  for (let t = 0; t < flips.length; t++) numFlipped += flips[t];
  if (numFlipped === 0) return 0;
  // Turning (a, b, c) into (a, c, b) makes its half-edge 0 what was 2 and the other way round.
  for (let h = 0; h < pairs.length; h++) {
    const pair = pairs[h];
    if (pair === NO_TWIN || flips[(pair / 3) | 0] === 0) continue;
    const corner = pair % 3;
    if (corner !== 1) pairs[h] = corner === 0 ? pair + 2 : pair - 2;
  }
  for (let t = 0; t < flips.length; t++) {
    if (flips[t] === 0) continue;
    const h = 3 * t;
    const corner = triangles[h + 1];
    triangles[h + 1] = triangles[h + 2];
    triangles[h + 2] = corner;
    const pair = pairs[h];
    pairs[h] = pairs[h + 2];
    pairs[h + 2] = pair;
  }
  return numFlipped;
}

/** Turns a closed mesh outward in place. Returns whether it had to be turned. */
export function turnOutward(mesh: TriangleMesh, twins: Twins): boolean {
  if (enclosedVolume(mesh) >= 0) return false;
  applyFlips(mesh.triangles, twins, new Uint8Array(mesh.triangles.length / 3).fill(1));
  return true;
}
