import { IntakeError } from './types.ts';
import { count } from './wording.ts';

/** What a format reader hands on: the file's own numbers, checked for range and finiteness but not yet repaired. */
export interface RawMesh {
  /** 3 × numVertices in the file's own unit, finite. Belongs to whoever receives it. */
  readonly positions: Float64Array;
  /** 3 × numTriangles, every index below numVertices. Belongs to whoever receives it. */
  readonly triangles: Uint32Array;
  /** Faces with fewer than three corners, which were left out. */
  readonly numEmptyFaces: number;
}

/** More than any scan of a hand-sized piece has; beyond it a page or a laptop runs out of memory. */
export const MAX_TRIANGLES = 40_000_000;
export const MAX_VERTICES = 120_000_000;

/** Refuses a mesh that is too large before anything is allocated for it. */
export function verifySize(numVertices: number, numTriangles: number): void {
  if (numTriangles > MAX_TRIANGLES || numVertices > MAX_VERTICES) {
    throw new IntakeError(
      'too-large',
      `The scan has ${count(numTriangles, 'triangle')} and ${count(numVertices, 'vertex')}; at most ${MAX_TRIANGLES / 1e6} million triangles can be read.`,
    );
  }
}

/** Triangles that share no vertex: corners 0 1 2, 3 4 5 and so on. */
export function soup(numTriangles: number): Uint32Array {
  const triangles = new Uint32Array(3 * numTriangles);
  for (let h = 0; h < triangles.length; h++) triangles[h] = h;
  return triangles;
}
