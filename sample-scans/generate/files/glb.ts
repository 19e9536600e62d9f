import type { SolidMesh } from '../solidMesh.ts';

const GLB_MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;

/**
 * glTF 2.0 in its binary form: one mesh, float positions, 16- or 32-bit indices. Coordinates are written as they are: metres by
 * the standard.
 */
export function glbBytes(mesh: SolidMesh, comment: string): Uint8Array {
  const vertices = mesh.positions.length / 3;
  const short = vertices < 65535;
  const positions = Float32Array.from(mesh.positions);
  const indices = short ? Uint16Array.from(mesh.triangles) : mesh.triangles;
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    low[i % 3] = Math.min(low[i % 3], positions[i]);
    high[i % 3] = Math.max(high[i % 3], positions[i]);
  }
  const binary = padded(positions.byteLength + indices.byteLength);
  const bin = new Uint8Array(binary);
  bin.set(new Uint8Array(positions.buffer));
  bin.set(new Uint8Array(indices.buffer, indices.byteOffset, indices.byteLength), positions.byteLength);
  const json = {
    asset: { version: '2.0', generator: comment },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes: [{ mesh: 0 }],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1, mode: 4 }] }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: vertices, type: 'VEC3', min: low, max: high },
      { bufferView: 1, componentType: short ? 5123 : 5125, count: indices.length, type: 'SCALAR' },
    ],
    bufferViews: [
      { buffer: 0, byteOffset: 0, byteLength: positions.byteLength, target: 34962 },
      { buffer: 0, byteOffset: positions.byteLength, byteLength: indices.byteLength, target: 34963 },
    ],
    buffers: [{ byteLength: binary }],
  };
  return container(new TextEncoder().encode(JSON.stringify(json)), bin);
}

const padded = (length: number): number => Math.ceil(length / 4) * 4;

function container(json: Uint8Array, binary: Uint8Array): Uint8Array {
  const jsonLength = padded(json.length);
  const bytes = new Uint8Array(12 + 8 + jsonLength + 8 + binary.length).fill(0x20, 20, 20 + jsonLength);
  const view = new DataView(bytes.buffer);
  [GLB_MAGIC, 2, bytes.length, jsonLength, JSON_CHUNK].forEach((word, i) => {
    view.setUint32(4 * i, word, true);
  });
  bytes.set(json, 20);
  view.setUint32(20 + jsonLength, binary.length, true);
  view.setUint32(24 + jsonLength, BINARY_CHUNK, true);
  bytes.set(binary, 28 + jsonLength);
  return bytes;
}
