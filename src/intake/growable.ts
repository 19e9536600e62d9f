import { verifySize } from './rawMesh.ts';

/** Vertex coordinates of which it is not known beforehand how many there will be. */
export class GrowingPositions {
  private values = new Float64Array(3 * 1024);
  private used = 0;

  get numVertices(): number {
    return this.used / 3;
  }

  push(x: number, y: number, z: number): void {
    if (this.used === this.values.length) this.grow();
    this.values[this.used++] = x;
    this.values[this.used++] = y;
    this.values[this.used++] = z;
  }

  /** The coordinates pushed so far, in memory of their own. */
  finish(): Float64Array {
    return this.values.slice(0, this.used);
  }

  private grow(): void {
    verifySize(this.numVertices, 0);
    const larger = new Float64Array(2 * this.values.length);
    larger.set(this.values);
    this.values = larger;
  }
}
