import type { SolidMesh } from '../solidMesh.ts';

/** Binary little-endian PLY: float x y z, faces as uchar count and int indices. */
export function plyBytes(mesh: SolidMesh, comment: string): Uint8Array {
  const vertices = mesh.positions.length / 3;
  const faces = mesh.triangles.length / 3;
  const header = new TextEncoder().encode(
    `ply\nformat binary_little_endian 1.0\ncomment ${comment}\nelement vertex ${vertices}\nproperty float x\n` +
      `property float y\nproperty float z\nelement face ${faces}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
  const bytes = new Uint8Array(header.length + 12 * vertices + 13 * faces);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (const c of mesh.positions) {
    view.setFloat32(at, c, true);
    at += 4;
  }
  for (let t = 0; t < faces; t++) {
    view.setUint8(at, 3);
    for (let k = 0; k < 3; k++) view.setInt32(at + 1 + 4 * k, mesh.triangles[3 * t + k], true);
    at += 13;
  }
  return bytes;
}
