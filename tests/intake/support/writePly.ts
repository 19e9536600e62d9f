import type { TriangleMesh } from '../../../src/geometry/types.ts';

export type PlyScalar = 'char' | 'uchar' | 'short' | 'ushort' | 'int' | 'uint' | 'float' | 'double';

/** How a PLY file is to be laid out; whatever is not a coordinate or a corner is filled with harmless numbers. */
export interface PlyLayoutSpec {
  readonly encoding: 'ascii' | 'binary_little_endian' | 'binary_big_endian';
  readonly coordinate?: PlyScalar;
  readonly countType?: PlyScalar;
  readonly indexType?: PlyScalar;
  readonly listName?: string;
  /** Further vertex properties before and after x y z. */
  readonly before?: readonly PlyScalar[];
  readonly after?: readonly PlyScalar[];
  /** Further face properties after the corners; `list` is a list of floats. */
  readonly faceAfter?: readonly (PlyScalar | 'list')[];
  readonly faceBefore?: readonly PlyScalar[];
  /** An element with a list of its own, between vertices and faces. */
  readonly extraElement?: boolean;
  readonly facesFirst?: boolean;
  readonly lineEnd?: string;
}

const BYTES: Readonly<Record<PlyScalar, number>> = {
  char: 1,
  uchar: 1,
  short: 2,
  ushort: 2,
  int: 4,
  uint: 4,
  float: 4,
  double: 8,
};

/** Writes faces (lists of vertex numbers, of any length) in the layout asked for. */
export function writePly(
  positions: ArrayLike<number>,
  faces: readonly (readonly number[])[],
  spec: PlyLayoutSpec,
): Uint8Array {
  const { coordinate = 'float', countType = 'uchar', indexType = 'int', listName = 'vertex_indices' } = spec;
  const { before = [], after = [], faceBefore = [], faceAfter = [], lineEnd = '\n' } = spec;
  const body =
    spec.encoding === 'ascii'
      ? new AsciiBody(lineEnd)
      : new BinaryBody(spec.encoding === 'binary_little_endian');
  const numVertices = positions.length / 3;
  const vertexHead = [
    `element vertex ${numVertices}`,
    ...before.map((type, k) => `property ${type} before${k}`),
    ...['x', 'y', 'z'].map((name) => `property ${coordinate} ${name}`),
    ...after.map((type, k) => `property ${type} after${k}`),
  ];
  const faceHead = [
    `element face ${faces.length}`,
    ...faceBefore.map((type, k) => `property ${type} before${k}`),
    `property list ${countType} ${indexType} ${listName}`,
    ...faceAfter.map((type, k) =>
      type === 'list' ? `property list uchar float after${k}` : `property ${type} after${k}`,
    ),
  ];
  const extraHead = spec.extraElement ? ['element extra 2', 'property list ushort double values'] : [];
  const writeVertices = (): void => {
    for (let v = 0; v < numVertices; v++) {
      before.forEach((type, k) => {
        body.put(type, k + 1);
      });
      for (let axis = 0; axis < 3; axis++) body.put(coordinate, positions[3 * v + axis]);
      after.forEach((type, k) => {
        body.put(type, k + 7);
      });
      body.endRecord();
    }
  };
  const writeFaces = (): void => {
    for (const face of faces) {
      faceBefore.forEach((type, k) => {
        body.put(type, k + 3);
      });
      body.put(countType, face.length);
      for (const index of face) body.put(indexType, index);
      for (const type of faceAfter) {
        if (type !== 'list') body.put(type, 9);
        else
          for (const [kind, value] of [
            ['uchar', 2],
            ['float', 0.25],
            ['float', 0.75],
          ] as const)
            body.put(kind, value);
      }
      body.endRecord();
    }
  };
  const writeExtra = (): void => {
    for (let k = 0; spec.extraElement && k < 2; k++) {
      body.put('ushort', k);
      for (let i = 0; i < k; i++) body.put('double', 1.5);
      body.endRecord();
    }
  };
  const parts = [
    { head: vertexHead, write: writeVertices },
    { head: extraHead, write: writeExtra },
    { head: faceHead, write: writeFaces },
  ];
  if (spec.facesFirst) parts.reverse();
  for (const part of parts) part.write();
  const header = [
    'ply',
    `format ${spec.encoding} 1.0`,
    'comment made for a test',
    ...parts.flatMap((part) => part.head),
  ];
  return concat(
    new TextEncoder().encode(`${[...header, 'end_header'].join(lineEnd)}${lineEnd}`),
    body.bytes(),
  );
}

/** The commonest layout, quickly: float x y z, list uchar int, little-endian. */
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

class AsciiBody {
  private text = '';
  private line: string[] = [];

  constructor(private readonly lineEnd: string) {}

  put(type: PlyScalar, value: number): void {
    this.line.push(type === 'float' ? String(Math.fround(value)) : String(value));
  }

  endRecord(): void {
    this.text += this.line.join(' ') + this.lineEnd;
    this.line = [];
  }

  bytes(): Uint8Array {
    return new TextEncoder().encode(this.text);
  }
}

class BinaryBody {
  private buffer = new Uint8Array(1024);
  private used = 0;

  constructor(private readonly little: boolean) {}

  put(type: PlyScalar, value: number): void {
    if (this.used + 8 > this.buffer.length) {
      const larger = new Uint8Array(2 * this.buffer.length);
      larger.set(this.buffer);
      this.buffer = larger;
    }
    const view = new DataView(this.buffer.buffer);
    const at = this.used;
    this.used += BYTES[type];
    if (type === 'char') view.setInt8(at, value);
    else if (type === 'uchar') view.setUint8(at, value);
    else if (type === 'short') view.setInt16(at, value, this.little);
    else if (type === 'ushort') view.setUint16(at, value, this.little);
    else if (type === 'int') view.setInt32(at, value, this.little);
    else if (type === 'uint') view.setUint32(at, value, this.little);
    else if (type === 'float') view.setFloat32(at, value, this.little);
    else view.setFloat64(at, value, this.little);
  }

  endRecord(): void {}

  bytes(): Uint8Array {
    return this.buffer.slice(0, this.used);
  }
}

export function concat(...parts: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}
