import type { TriangleMesh } from '../../../src/geometry/types.ts';
import { concat } from './writePly.ts';

/** A glTF document as plain data; tests bend it before it is written. */
export interface GltfDocument {
  [name: string]: unknown;
}

export interface GltfSpec {
  readonly indexType?: 5121 | 5123 | 5125;
  /** Bytes between positions; more than 12 interleaves them with zeros. */
  readonly stride?: number;
  readonly withoutIndices?: boolean;
}

/** The document and binary buffer of one mesh: one node, one primitive. */
export function makeGltf(
  { positions, triangles }: TriangleMesh,
  spec: GltfSpec = {},
): { document: GltfDocument; buffer: Uint8Array } {
  const { indexType = 5125, stride = 12, withoutIndices = false } = spec;
  const corners = withoutIndices ? Array.from(triangles) : undefined;
  const numVertices = corners?.length ?? positions.length / 3;
  const vertexBytes = new Uint8Array(stride * numVertices);
  const view = new DataView(vertexBytes.buffer);
  for (let v = 0; v < numVertices; v++) {
    const from = 3 * (corners?.[v] ?? v);
    for (let axis = 0; axis < 3; axis++) view.setFloat32(stride * v + 4 * axis, positions[from + axis], true);
  }
  const indices =
    indexType === 5121
      ? Uint8Array.from(triangles)
      : indexType === 5123
        ? Uint16Array.from(triangles)
        : triangles.slice();
  const indexBytes = new Uint8Array(indices.buffer);
  const buffer = concat(vertexBytes, indexBytes, new Uint8Array((4 - (indexBytes.length % 4)) % 4));
  const document: GltfDocument = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes: [{ mesh: 0 }],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, ...(withoutIndices ? {} : { indices: 1 }) }] }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: numVertices, type: 'VEC3' },
      { bufferView: 1, componentType: indexType, count: triangles.length, type: 'SCALAR' },
    ],
    bufferViews: [
      {
        buffer: 0,
        byteOffset: 0,
        byteLength: vertexBytes.length,
        ...(stride === 12 ? {} : { byteStride: stride }),
      },
      { buffer: 0, byteOffset: vertexBytes.length, byteLength: indexBytes.length },
    ],
    buffers: [{ byteLength: buffer.length }],
  };
  return { document, buffer };
}

/** A GLB container: 12 bytes, a JSON chunk padded with spaces, a binary chunk padded with zeros. */
export function packGlb(document: GltfDocument, buffer?: Uint8Array): Uint8Array {
  const json = new TextEncoder().encode(JSON.stringify(document));
  const chunk = (type: number, data: Uint8Array, filler: number): Uint8Array => {
    const padded = new Uint8Array(8 + Math.ceil(data.length / 4) * 4).fill(filler);
    const view = new DataView(padded.buffer);
    view.setUint32(0, padded.length - 8, true);
    view.setUint32(4, type, true);
    padded.set(data, 8);
    return padded;
  };
  const chunks = [chunk(0x4e4f534a, json, 32), ...(buffer ? [chunk(0x004e4942, buffer, 0)] : [])];
  const header = new Uint8Array(12);
  const view = new DataView(header.buffer);
  view.setUint32(0, 0x46546c67, true);
  view.setUint32(4, 2, true);
  view.setUint32(8, 12 + chunks.reduce((sum, part) => sum + part.length, 0), true);
  return concat(header, ...chunks);
}

/** A .gltf text with its buffer inside as a data URI. */
export function packGltf(document: GltfDocument, buffer: Uint8Array): Uint8Array {
  const uri = `data:application/octet-stream;base64,${Buffer.from(buffer).toString('base64')}`;
  return new TextEncoder().encode(
    JSON.stringify({ ...document, buffers: [{ byteLength: buffer.length, uri }] }),
  );
}

export function writeGlb(mesh: TriangleMesh, spec: GltfSpec = {}): Uint8Array {
  const { document, buffer } = makeGltf(mesh, spec);
  return packGlb(document, buffer);
}

export function writeGltf(mesh: TriangleMesh, spec: GltfSpec = {}): Uint8Array {
  const { document, buffer } = makeGltf(mesh, spec);
  return packGltf(document, buffer);
}
