import type { TriangleMesh } from './types.ts';

/**
 * By the divergence theorem, about the first vertex; for an open mesh only a guess. Cubic units, negative if the mesh
 * faces inward.
 */
export function enclosedVolume({ positions: p, triangles }: TriangleMesh): number {
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ax = p[a] - p[0];
    const ay = p[a + 1] - p[1];
    const az = p[a + 2] - p[2];
    const bx = p[b] - p[0];
    const by = p[b + 1] - p[1];
    const bz = p[b + 2] - p[2];
    const cx = p[c] - p[0];
    const cy = p[c + 1] - p[1];
    const cz = p[c + 2] - p[2];
    sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return sum / 6;
}
