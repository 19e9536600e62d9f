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

/** Every triangle becomes four, by the midpoints of its sides: a large scan made quickly. */
export function subdivided({ positions, triangles }: TriangleMesh): TriangleMesh {
  const numVertices = positions.length / 3;
  const points = Array.from(positions);
  const middles = new Map<number, number>();
  const middle = (a: number, b: number): number => {
    const key = Math.min(a, b) * numVertices + Math.max(a, b);
    const known = middles.get(key);
    if (known !== undefined) return known;
    const made = points.length / 3;
    for (let c = 0; c < 3; c++) points.push((positions[3 * a + c] + positions[3 * b + c]) / 2);
    middles.set(key, made);
    return made;
  };
  const finer = new Uint32Array(4 * triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = triangles.subarray(t, t + 3);
    const ab = middle(a, b);
    const bc = middle(b, c);
    const ca = middle(c, a);
    finer.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * t);
  }
  return { positions: Float64Array.from(points), triangles: finer };
}
