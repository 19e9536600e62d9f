import type { TriangleMesh } from '../../../src/geometry/types.ts';

/** Binary little-endian PLY in the commonest layout: float x y z, list uchar int. */
export function writePlyBinary({ positions, triangles }: TriangleMesh): Uint8Array {
  const numVertices = positions.length / 3;
  const numTriangles = triangles.length / 3;
  const header = new TextEncoder().encode(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${numVertices}\nproperty float x\nproperty float y\nproperty float z\n` +
      `element face ${numTriangles}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
  const bytes = new Uint8Array(header.length + 12 * numVertices + 13 * numTriangles);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (const value of positions) {
    view.setFloat32(at, value, true);
    at += 4;
  }
  for (let t = 0; t < triangles.length; t += 3) {
    view.setUint8(at, 3);
    for (let k = 0; k < 3; k++) view.setInt32(at + 1 + 4 * k, triangles[t + k], true);
    at += 13;
  }
  return bytes;
}
