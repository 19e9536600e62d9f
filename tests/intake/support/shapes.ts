import type { TriangleMesh } from '../../../src/geometry/types.ts';

/**
 * A closed lens-shaped solid: a grid sphere of `rings` × `segments` with half-axes a, b, c, outward, welded.
 * 2 · segments · (rings − 1) triangles.
 */
export function ellipsoid(
  rings: number,
  segments: number,
  [a, b, c]: readonly [number, number, number],
): TriangleMesh {
  const numVertices = (rings - 1) * segments + 2;
  const positions = new Float64Array(3 * numVertices);
  const triangles = new Uint32Array(6 * segments * (rings - 1));
  let p = 0;
  const put = (x: number, y: number, z: number): void => {
    positions[p++] = a * x;
    positions[p++] = b * y;
    positions[p++] = c * z;
  };
  put(0, 0, 1);
  for (let r = 1; r < rings; r++) {
    const polar = (Math.PI * r) / rings;
    for (let s = 0; s < segments; s++) {
      const turn = (2 * Math.PI * s) / segments;
      put(Math.sin(polar) * Math.cos(turn), Math.sin(polar) * Math.sin(turn), Math.cos(polar));
    }
  }
  put(0, 0, -1);
  let t = 0;
  const face = (i: number, j: number, k: number): void => {
    triangles[t++] = i;
    triangles[t++] = j;
    triangles[t++] = k;
  };
  const at = (r: number, s: number): number => 1 + (r - 1) * segments + (s % segments);
  for (let s = 0; s < segments; s++) {
    face(0, at(1, s), at(1, s + 1));
    for (let r = 1; r < rings - 1; r++) {
      face(at(r, s), at(r + 1, s), at(r + 1, s + 1));
      face(at(r, s), at(r + 1, s + 1), at(r, s + 1));
    }
    face(numVertices - 1, at(rings - 1, s + 1), at(rings - 1, s));
  }
  return { positions, triangles };
}
