import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { vertexNormals } from '../../src/geometry/vertexNormals.ts';
import { makePiece, type PieceSpec } from '../pieces/piece.ts';
import { createRandom } from '../pieces/random.ts';

const SPEC: PieceSpec = {
  outline: { shape: 'lanceolate', length: 110, width: 52, waviness: 0.6, bow: 1.2 },
  seed: 41,
  shuffle: false,
  faceA: { height: 7, angle: 30 },
  faceB: { height: 6, angle: 26 },
  winding: {
    left: [{ amplitude: 1.5, wavelength: 31, phase: 0.4 }],
    right: [{ amplitude: 1.2, wavelength: 23, phase: 2 }],
  },
  scars: { count: 40, depth: 0.5 },
  humps: [],
};

/** A scarred biface of about `triangles` triangles with scanner noise; quarters a coarser piece so that 5 M is quick. */
export function benchMesh(triangles: number, quarterings: number): TriangleMesh {
  let mesh = makePiece({ ...SPEC, triangles: triangles / 4 ** quarterings }).mesh;
  for (let k = 0; k < quarterings; k++) mesh = quartered(mesh);
  const normals = vertexNormals(mesh);
  const random = createRandom(5);
  const positions = Float64Array.from(mesh.positions);
  for (let v = 0; v < positions.length; v += 3) {
    const d = 0.01 * random.normal();
    for (let k = 0; k < 3; k++) positions[v + k] += d * normals[v + k];
  }
  return { positions, triangles: mesh.triangles };
}

/** Each triangle of a closed mesh cut into four at the middles of its edges. */
function quartered(mesh: TriangleMesh): TriangleMesh {
  const { positions: p, triangles } = mesh;
  const { pairs } = pairHalfEdges(p, triangles);
  const numVertices = p.length / 3;
  const positions = new Float64Array(p.length + (3 * triangles.length) / 2);
  positions.set(p);
  const middles = new Uint32Array(triangles.length);
  let made = numVertices;
  for (let h = 0; h < triangles.length; h++) {
    if (pairs[h] < h) {
      middles[h] = middles[pairs[h]];
      continue;
    }
    const [a, b] = [3 * triangles[h], 3 * triangles[h % 3 === 2 ? h - 2 : h + 1]];
    for (let k = 0; k < 3; k++) positions[3 * made + k] = (p[a + k] + p[b + k]) / 2;
    middles[h] = made++;
  }
  const out = new Uint32Array(4 * triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t], triangles[t + 1], triangles[t + 2]];
    const [ab, bc, ca] = [middles[t], middles[t + 1], middles[t + 2]];
    out.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * t);
  }
  return { positions, triangles: out };
}

/** Binary little-endian PLY with float coordinates: 12 bytes a vertex, 13 a triangle. */
export function binaryPly(mesh: TriangleMesh): Uint8Array {
  const numVertices = mesh.positions.length / 3;
  const numTriangles = mesh.triangles.length / 3;
  const header = new TextEncoder().encode(
    `ply\nformat binary_little_endian 1.0\nelement vertex ${numVertices}\nproperty float x\nproperty float y\n` +
      `property float z\nelement face ${numTriangles}\nproperty list uchar int vertex_indices\nend_header\n`,
  );
  const bytes = new Uint8Array(header.length + 12 * numVertices + 13 * numTriangles);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (const x of mesh.positions) {
    view.setFloat32(at, x, true);
    at += 4;
  }
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    view.setUint8(at, 3);
    for (let k = 0; k < 3; k++) view.setInt32(at + 1 + 4 * k, mesh.triangles[t + k], true);
    at += 13;
  }
  return bytes;
}
