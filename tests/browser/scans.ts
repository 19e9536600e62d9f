import type { TriangleMesh } from '../../src/geometry/types.ts';
import { makePiece } from '../pieces/piece.ts';

/** A winding piece with one tall hump on Face A: something for every view of the bench. */
export function humpedPiece(triangles: number): TriangleMesh {
  return makePiece({
    outline: { shape: 'lanceolate', length: 112, width: 46, waviness: 1.2, bow: 1.5, bulge: 0.08 },
    seed: 11,
    triangles,
    faceA: { height: 7, angle: 30 },
    faceB: { height: 5, angle: 24 },
    winding: {
      left: [{ amplitude: 1.6, wavelength: 37, phase: 0.4 }],
      right: [{ amplitude: 1.2, wavelength: 29, phase: 2 }],
    },
    humps: [{ face: 'A', x: 3, y: 60, prominence: 3, radius: 11 }],
    scars: { count: 60, depth: 0.5 },
    noise: { sigma: 0.01, direction: 'normal' },
  }).mesh;
}

/** Binary little-endian PLY, float32, as most scanners write it. */
export function toPly({ positions, triangles }: TriangleMesh): Buffer {
  const vertices = positions.length / 3;
  const faces = triangles.length / 3;
  const header =
    'ply\nformat binary_little_endian 1.0\n' +
    `element vertex ${vertices}\nproperty float x\nproperty float y\nproperty float z\n` +
    `element face ${faces}\nproperty list uchar int vertex_indices\nend_header\n`;
  const bytes = Buffer.alloc(header.length + 12 * vertices + 13 * faces);
  bytes.write(header, 'latin1');
  let at = header.length;
  for (const value of positions) at = bytes.writeFloatLE(value, at);
  for (let t = 0; t < triangles.length; t += 3) {
    at = bytes.writeUInt8(3, at);
    for (let corner = 0; corner < 3; corner++) at = bytes.writeInt32LE(triangles[t + corner], at);
  }
  return bytes;
}
