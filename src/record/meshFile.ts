import type { TriangleMesh } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { ENGINE } from './engine.ts';

/** Formats in which the oriented mesh is written. */
export const MESH_KINDS = ['ply', 'glb'] as const;
export type MeshKind = (typeof MESH_KINDS)[number];

/** What is written into the file beside the surface. */
export interface MeshFacts {
  /** Catalogue number, where there is one. */
  readonly number?: string | undefined;
  /** Name and SHA-256 of the scan. */
  readonly file: string;
  readonly sha256: string;
}

/** glTF is in metres (2.0, section 3.4). */
const METRES_PER_MM = 0.001;
const FLOAT = 5126;
const UNSIGNED_INT = 5125;
const ARRAY_BUFFER = 34962;
const ELEMENT_ARRAY_BUFFER = 34963;
const HEADER_BYTES = 12;
const CHUNK_BYTES = 8;

/**
 * The surface that was measured, after repair, in the specimen frame: +Y from base to tip, +Z out of Face A, +X to the
 * right on Face A, origin at the base end. Coordinates are 32-bit floats of millimetres, which hold a piece of 400 mm to
 * 0.02 µm. Throws for a model without a surface.
 */
export function meshFile(kind: MeshKind, { surface }: Model, facts: MeshFacts): Uint8Array<ArrayBuffer> {
  if (surface === undefined) throw new Error('a photograph has no surface to write');
  return kind === 'ply' ? plyFile(surface.mesh, facts) : glbFile(surface.mesh, facts);
}

/** Binary little-endian PLY, mm. */
function plyFile({ positions, triangles }: TriangleMesh, facts: MeshFacts): Uint8Array<ArrayBuffer> {
  const faces = triangles.length / 3;
  const header = new TextEncoder().encode(
    [
      'ply',
      'format binary_little_endian 1.0',
      'comment unit mm',
      'comment specimen frame: +Y base to tip, +Z out of Face A, +X right on Face A',
      `comment catalogue number ${inAscii(facts.number ?? 'not given')}`,
      `comment measured from sha256 ${facts.sha256}`,
      `comment written by ${ENGINE.name} ${ENGINE.version}`,
      `element vertex ${positions.length / 3}`,
      'property float x',
      'property float y',
      'property float z',
      `element face ${faces}`,
      'property list uchar int vertex_indices',
      'end_header',
      '',
    ].join('\n'),
  );
  const faceBytes = 1 + 3 * 4;
  const bytes = new Uint8Array(header.length + 4 * positions.length + faceBytes * faces);
  const view = new DataView(bytes.buffer);
  bytes.set(header);
  let at = header.length;
  for (let i = 0; i < positions.length; i++, at += 4) view.setFloat32(at, positions[i], true);
  for (let t = 0; t < triangles.length; t += 3, at += faceBytes) {
    view.setUint8(at, 3);
    for (let corner = 0; corner < 3; corner++)
      view.setUint32(at + 1 + 4 * corner, triangles[t + corner], true);
  }
  return bytes;
}

/** Printable ASCII on one line: whatever else is in a text is written as its code point, so that no header line can be forged. */
function inAscii(text: string): string {
  return text.replace(/[^ -~]/gu, (letter) => `\\u{${letter.codePointAt(0)?.toString(16)}}`);
}

/** Binary glTF 2.0: positions in mm under one node whose scale makes them metres. */
function glbFile({ positions, triangles }: TriangleMesh, facts: MeshFacts): Uint8Array<ArrayBuffer> {
  const positionBytes = 4 * positions.length;
  const binary = new Uint8Array(positionBytes + 4 * triangles.length);
  const view = new DataView(binary.buffer);
  for (let i = 0; i < positions.length; i++) view.setFloat32(4 * i, positions[i], true);
  for (let i = 0; i < triangles.length; i++) view.setUint32(positionBytes + 4 * i, triangles[i], true);
  const document = gltfDocument(facts, triangles.length, positionBytes, extent(view, positions.length));
  // Chunks are padded to four bytes: text with spaces. The binary is a multiple of four by itself.
  const json = new TextEncoder().encode(JSON.stringify(document));
  const text = new Uint8Array(Math.ceil(json.length / 4) * 4).fill(0x20);
  text.set(json);
  const bytes = new Uint8Array(HEADER_BYTES + 2 * CHUNK_BYTES + text.length + binary.length);
  const out = new DataView(bytes.buffer);
  const writeWords = (at: number, ...words: number[]): void =>
    words.forEach((word, k) => {
      out.setUint32(at + 4 * k, word, true);
    });
  writeWords(0, 0x46546c67, 2, bytes.length);
  writeWords(HEADER_BYTES, text.length, 0x4e4f534a);
  bytes.set(text, HEADER_BYTES + CHUNK_BYTES);
  const second = HEADER_BYTES + CHUNK_BYTES + text.length;
  writeWords(second, binary.length, 0x004e4942);
  bytes.set(binary, second + CHUNK_BYTES);
  return bytes;
}

interface Extent {
  readonly min: number[];
  readonly max: number[];
}

/** Least and greatest coordinates as they were rounded to 32 bits: the standard wants them exact. */
function extent(view: DataView, count: number): Extent {
  const min = [Infinity, Infinity, Infinity];
  const max = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i++) {
    const value = view.getFloat32(4 * i, true);
    if (value < min[i % 3]) min[i % 3] = value;
    if (value > max[i % 3]) max[i % 3] = value;
  }
  return { min, max };
}

function gltfDocument(
  { number, file, sha256 }: MeshFacts,
  indices: number,
  positionBytes: number,
  { min, max }: Extent,
): object {
  return {
    asset: { version: '2.0', generator: `${ENGINE.name} ${ENGINE.version}` },
    scene: 0,
    scenes: [{ nodes: [0] }],
    nodes: [
      {
        name: number ?? file,
        mesh: 0,
        scale: [METRES_PER_MM, METRES_PER_MM, METRES_PER_MM],
        extras: {
          frame: 'specimen frame, mm: +Y base to tip, +Z out of Face A, +X right on Face A',
          sha256,
        },
      },
    ],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1, material: 0 }] }],
    // Without one, a viewer takes bare metal.
    materials: [
      {
        pbrMetallicRoughness: {
          baseColorFactor: [0.7, 0.68, 0.65, 1],
          metallicFactor: 0,
          roughnessFactor: 0.9,
        },
      },
    ],
    accessors: [
      { bufferView: 0, componentType: FLOAT, count: positionBytes / 12, type: 'VEC3', min, max },
      { bufferView: 1, componentType: UNSIGNED_INT, count: indices, type: 'SCALAR' },
    ],
    bufferViews: [
      { buffer: 0, byteOffset: 0, byteLength: positionBytes, target: ARRAY_BUFFER },
      { buffer: 0, byteOffset: positionBytes, byteLength: 4 * indices, target: ELEMENT_ARRAY_BUFFER },
    ],
    buffers: [{ byteLength: positionBytes + 4 * indices }],
  };
}
