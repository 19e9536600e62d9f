import type { TriangleMesh } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/**
 * Unit normals at the vertices, weighted by the area of the triangles that meet there; 3 × numVertices.
 * A vertex without area has the normal 0, 0, 0.
 */
export function vertexNormals({ positions, triangles }: TriangleMesh): Float32Array {
  const sums = new Float64Array(positions.length);
  const normal = new Float64Array(3);
  for (let t = 0; t < triangles.length; t += 3) {
    twiceVectorArea(positions, triangles, t, normal);
    for (let k = t; k < t + 3; k++) {
      const corner = 3 * triangles[k];
      sums[corner] += normal[0];
      sums[corner + 1] += normal[1];
      sums[corner + 2] += normal[2];
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
