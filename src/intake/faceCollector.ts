import { triangulateRing } from '../geometry/meshEarCut.ts';
import { verifySize } from './rawMesh.ts';

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
    }
  }

  /** All triangles: first those of the file, then those cut from polygons. Every index must be valid by now. */
  finish(positions: Float64Array): Uint32Array {
    const total = this.used + 3 * this.polygonTriangles;
    verifySize(positions.length / 3, total / 3);
    const all = total === this.triangles.length ? this.triangles : this.triangles.slice(0, total);
    if (this.polygonTriangles === 0) return all;
    const result = all.length === total ? all : new Uint32Array(total);
    if (result !== all) result.set(all);
    let to = this.used;
    for (let at = 0; at < this.polygonsUsed; ) {
      const corners = this.polygons[at];
      const ring = this.polygons.subarray(at + 1, at + 1 + corners);
      const cut = triangulateRing(positions, ring) ?? fan(ring);
      result.set(cut, to);
      to += cut.length;
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

/** Triangles from the first corner to every edge; what is left where no plane shows the polygon without crossings. */
function fan(ring: Uint32Array): Uint32Array {
  const triangles = new Uint32Array(3 * (ring.length - 2));
  for (let k = 2; k < ring.length; k++) triangles.set([ring[0], ring[k - 1], ring[k]], 3 * (k - 2));
  return triangles;
}
