import { triangulateRing } from '../geometry/meshEarCut.ts';
import { cutsFromFirst } from '../geometry/meshQuad.ts';
import { verifySize } from './rawMesh.ts';
import { IntakeError } from './types.ts';

/** Sum of squared numbers of corners over all polygons, which their cutting takes time with: some seconds. */
const MOST_EFFORT = 2e8;

/** Takes faces in the order of the file and makes triangles of them; polygons wait until every position is known. */
export class FaceCollector {
  /** Faces with fewer than three corners, which have no surface. */
  numEmpty = 0;
  private triangles: Uint32Array;
  private used = 0;
  /** Runs of: number of corners, then the corners. */
  private polygons = new Uint32Array(0);
  private polygonsUsed = 0;
  private polygonTriangles = 0;
  private effort = 0;

  /** `expected`: number of triangles to make room for; more may come. */
  constructor(expected: number) {
    this.triangles = new Uint32Array(3 * Math.max(16, expected));
  }

  triangle(a: number, b: number, c: number): void {
    if (this.used === this.triangles.length) this.triangles = this.grown(this.triangles, this.used + 3);
    this.triangles[this.used++] = a;
    this.triangles[this.used++] = b;
    this.triangles[this.used++] = c;
  }

  /** A face with the first `corners` entries of `ring`; `ring` is copied. */
  face(ring: ArrayLike<number>, corners: number): void {
    if (corners < 3) {
      this.numEmpty++;
    } else if (corners === 3) {
      this.triangle(ring[0], ring[1], ring[2]);
    } else {
      const needed = this.polygonsUsed + corners + 1;
      if (needed > this.polygons.length) this.polygons = this.grown(this.polygons, needed);
      this.polygons[this.polygonsUsed++] = corners;
      for (let k = 0; k < corners; k++) this.polygons[this.polygonsUsed++] = ring[k];
      this.polygonTriangles += corners - 2;
      if (corners > 4) this.effort += corners * corners;
    }
  }

  /** All triangles: first those of the file, then those cut from polygons. Every index must be valid by now. */
  finish(positions: Float64Array): Uint32Array {
    const total = this.used + 3 * this.polygonTriangles;
    verifySize(positions.length / 3, total / 3);
    if (this.effort > MOST_EFFORT) {
      throw new IntakeError(
        'too-large',
        'The faces of the scan have too many corners; save it as triangles.',
      );
    }
    const fits = total === this.triangles.length;
    const result = fits ? this.triangles : new Uint32Array(total);
    if (!fits) result.set(this.triangles.subarray(0, this.used));
    let to = this.used;
    for (let at = 0; at < this.polygonsUsed; ) {
      const corners = this.polygons[at];
      if (corners === 4) cutQuad(positions, this.polygons, at + 1, result, to);
      else cutPolygon(positions, this.polygons.subarray(at + 1, at + 1 + corners), result, to);
      to += 3 * (corners - 2);
      at += corners + 1;
    }
    return result;
  }

  private grown(array: Uint32Array, needed: number): Uint32Array<ArrayBuffer> {
    verifySize(0, Math.floor((this.used + 3 * this.polygonTriangles) / 3));
    const larger = new Uint32Array(Math.max(needed, array.length * 2, 48));
    larger.set(array);
    return larger;
  }
}

/** Writes the two triangles of the quad whose corners begin at `at`. */
function cutQuad(p: Float64Array, corners: Uint32Array, at: number, out: Uint32Array, to: number): void {
  const direct = cutsFromFirst(p, corners[at], corners[at + 1], corners[at + 2], corners[at + 3]);
  const first = direct ? 0 : 1;
  for (let k = 0; k < 3; k++) {
    out[to + k] = corners[at + first + k];
    out[to + 3 + k] = corners[at + ((first + (k === 0 ? 0 : k + 1)) % 4)];
  }
}

/** Writes the triangles of a ring; a fan from its first corner where no plane shows it without crossings. */
function cutPolygon(positions: Float64Array, ring: Uint32Array, out: Uint32Array, to: number): void {
  const cut = triangulateRing(positions, ring);
  if (cut !== null) {
    out.set(cut, to);
    return;
  }
  for (let k = 2; k < ring.length; k++) {
    const at = to + 3 * (k - 2);
    out[at] = ring[0];
    out[at + 1] = ring[k - 1];
    out[at + 2] = ring[k];
  }
}
