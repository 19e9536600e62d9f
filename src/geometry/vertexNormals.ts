import type { TriangleMesh } from './types.ts';

/**
 * Unit normals at the vertices, weighted by the area of the triangles that meet there; 3 × numVertices.
 * A vertex without area has the normal 0, 0, 0.
 */
export function vertexNormals({ positions, triangles }: TriangleMesh): Float32Array {
  const sums = new Float64Array(positions.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ux = positions[b] - positions[a];
    const uy = positions[b + 1] - positions[a + 1];
    const uz = positions[b + 2] - positions[a + 2];
    const vx = positions[c] - positions[a];
    const vy = positions[c + 1] - positions[a + 1];
    const vz = positions[c + 2] - positions[a + 2];
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    for (const corner of [a, b, c]) {
      sums[corner] += nx;
      sums[corner + 1] += ny;
      sums[corner + 2] += nz;
    }
  }
  const normals = new Float32Array(positions.length);
  for (let i = 0; i < sums.length; i += 3) {
    const length = Math.hypot(sums[i], sums[i + 1], sums[i + 2]);
    if (length === 0) continue;
    normals[i] = sums[i] / length;
    normals[i + 1] = sums[i + 1] / length;
    normals[i + 2] = sums[i + 2] / length;
  }
  return normals;
}
