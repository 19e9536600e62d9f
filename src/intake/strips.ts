import type { FaceCollector } from './faceCollector.ts';

/**
 * Turns a strip of triangles into triangles that all wind like the first; −1 starts the strip anew. Triangles with a
 * repeated corner only join parts of a strip and are left out.
 */
export function unpackStrip(strip: ArrayLike<number>, length: number, out: FaceCollector): void {
  let start = 0;
  for (let k = 0; k < length; k++) {
    if (strip[k] === -1) {
      start = k + 1;
      continue;
    }
    if (k - start < 2) continue;
    const a = strip[k - 2];
    const b = strip[k - 1];
    const c = strip[k];
    if (a === b || b === c || c === a) continue;
    if ((k - start) % 2 === 0) out.triangle(a, b, c);
    else out.triangle(b, a, c);
  }
}
