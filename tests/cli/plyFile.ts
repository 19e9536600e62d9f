import type { TriangleMesh } from '../../src/geometry/types.ts';

/** A mesh as the bytes of a binary little-endian PLY with float coordinates. */
export function plyBytes({ positions, triangles }: TriangleMesh): Uint8Array {
  const vertices = positions.length / 3;
  const faces = triangles.length / 3;
  const header = new TextEncoder().encode(
    [
      'ply',
      'format binary_little_endian 1.0',
      `element vertex ${vertices}`,
      'property float x',
      'property float y',
      'property float z',
      `element face ${faces}`,
      'property list uchar int vertex_indices',
      'end_header',
      '',
    ].join('\n'),
  );
  const bytes = new Uint8Array(header.length + 12 * vertices + 13 * faces);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (const value of positions) {
    view.setFloat32(at, value, true);
    at += 4;
  }
  for (let t = 0; t < triangles.length; t += 3) {
    view.setUint8(at, 3);
    for (let corner = 0; corner < 3; corner++)
      view.setUint32(at + 1 + 4 * corner, triangles[t + corner], true);
    at += 13;
  }
  return bytes;
}
