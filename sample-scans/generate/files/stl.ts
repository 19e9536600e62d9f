import type { SolidMesh } from '../solidMesh.ts';

/** Binary STL: 80 bytes of text, a count, then per triangle its normal, three corners and two empty bytes. */
export function stlBytes(mesh: SolidMesh, comment: string): Uint8Array {
  const faces = mesh.triangles.length / 3;
  const bytes = new Uint8Array(84 + 50 * faces);
  bytes.set(new TextEncoder().encode(comment).subarray(0, 80));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, faces, true);
  const corner = (t: number, k: number): Float64Array => {
    const v = 3 * mesh.triangles[3 * t + k];
    return mesh.positions.subarray(v, v + 3);
  };
  for (let t = 0; t < faces; t++) {
    const [a, b, c] = [corner(t, 0), corner(t, 1), corner(t, 2)];
    [...normal(a, b, c), ...a, ...b, ...c].forEach((value, i) => {
      view.setFloat32(84 + 50 * t + 4 * i, value, true);
    });
  }
  return bytes;
}

function normal(a: Float64Array, b: Float64Array, c: Float64Array): number[] {
  const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const length = Math.hypot(...n) || 1;
  return n.map((value) => value / length);
}
