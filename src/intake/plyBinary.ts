import { FaceCollector } from './faceCollector.ts';
import { type PlyElement, type PlyHeader, SCALAR_BYTES, type Scalar } from './plyHeader.ts';
import { leastBytes, type PlyLayout } from './plyLayout.ts';
import { type RawMesh, verifySize } from './rawMesh.ts';
import { unpackStrip } from './strips.ts';
import { IntakeError } from './types.ts';
import { badIndex, verifyCoordinates } from './verify.ts';
import { clip, count } from './wording.ts';

/** A record's properties as the reader walks them: lists with the fixed bytes before each, then a fixed tail. */
interface Walk {
  readonly lists: readonly {
    readonly skip: number;
    readonly countType: Scalar;
    readonly itemBytes: number;
  }[];
  readonly tail: number;
}

/** The body of a binary PLY file, whatever its layout, types and byte order. */
export function readPlyBinary(bytes: Uint8Array, header: PlyHeader, layout: PlyLayout): RawMesh {
  const reader = new BodyReader(bytes, header.encoding === 'little-endian');
  let offset = header.end;
  let positions = new Float64Array(0);
  let faces = new FaceCollector(0);
  header.elements.forEach((element, index) => {
    reader.verifyRoom(element, offset);
    if (index === layout.vertexElement) {
      const start = offset;
      positions = new Float64Array(3 * element.count);
      offset = reader.vertices(element, layout, offset, positions);
      verifyCoordinates(positions, (v) => `vertex ${v}${reader.place(element, start, v)}`);
    } else if (index === layout.faceElement) {
      faces = new FaceCollector(reader.trianglesExpected(element, layout.corners, offset));
      offset = reader.faces(element, layout, offset, faces);
    } else {
      offset = reader.skip(element, offset);
    }
  });
  verifyEnd(bytes, offset, header);
  return { positions, triangles: faces.finish(positions), numEmptyFaces: faces.numEmpty };
}

class BodyReader {
  private readonly view: DataView;

  constructor(
    bytes: Uint8Array,
    private readonly little: boolean,
  ) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  /** Before anything is allocated: whether the bytes that are left can hold what the header promises. */
  verifyRoom(element: PlyElement, offset: number): void {
    const needed = element.count * leastBytes(element);
    const left = this.view.byteLength - offset;
    if (needed <= left) return;
    throw new IntakeError(
      'truncated',
      `The PLY header promises ${element.count} records of “${clip(element.name)}”, at least ${leastBytes(element)} bytes each, but from byte ${offset} only ${count(left, 'byte')} are left.`,
    );
  }

  place(element: PlyElement, start: number, record: number): string {
    return isFixed(element) ? ` (byte ${start + record * leastBytes(element)})` : '';
  }

  vertices(element: PlyElement, layout: PlyLayout, start: number, positions: Float64Array): number {
    verifySize(element.count, 0);
    if (!isFixed(element)) return this.walkedVertices(element, layout, start, positions);
    const stride = leastBytes(element);
    layout.xyz.forEach((place, axis) => {
      const { type } = element.properties[place];
      const at = start + offsetOf(element, place);
      this.column(type, at, stride, positions, axis);
    });
    return start + stride * element.count;
  }

  /** One coordinate of every vertex. Each type has its own loop, which the compiler can keep in registers. */
  private column(type: Scalar, at: number, stride: number, out: Float64Array, axis: number): void {
    const { view, little } = this;
    let offset = at;
    if (type === 'float32') {
      for (let i = axis; i < out.length; i += 3, offset += stride) out[i] = view.getFloat32(offset, little);
    } else if (type === 'float64') {
      for (let i = axis; i < out.length; i += 3, offset += stride) out[i] = view.getFloat64(offset, little);
    } else {
      for (let i = axis; i < out.length; i += 3, offset += stride) out[i] = this.scalar(type, offset);
    }
  }

  /** Vertices that carry lists: every record has its own length. */
  private walkedVertices(element: PlyElement, layout: PlyLayout, start: number, out: Float64Array): number {
    let offset = start;
    for (let v = 0; v < element.count; v++) {
      element.properties.forEach(({ type, countType }, place) => {
        const axis = layout.xyz.indexOf(place);
        this.verifyBytes(offset, SCALAR_BYTES[countType ?? type], element, v);
        if (axis !== -1) out[3 * v + axis] = this.scalar(type, offset);
        if (countType === undefined) offset += SCALAR_BYTES[type];
        else offset = this.listEnd(offset, countType, SCALAR_BYTES[type], element, v);
      });
    }
    return offset;
  }

  trianglesExpected(element: PlyElement, corners: number, offset: number): number {
    const bytes = leastBytes(element) + 3 * SCALAR_BYTES[element.properties[corners].type];
    return Math.min(element.count, Math.ceil((this.view.byteLength - offset) / bytes));
  }

  faces(element: PlyElement, layout: PlyLayout, start: number, out: FaceCollector): number {
    const walk = walkOf(element);
    const place = element.properties.slice(0, layout.corners).filter((p) => p.countType !== undefined).length;
    const { type } = element.properties[layout.corners];
    const end = this.view.byteLength;
    const single = walk.lists.length === 1 && !layout.strips ? walk.lists[0] : undefined;
    const itemBytes = SCALAR_BYTES[type];
    const ring = new Ring();
    let offset = start;
    let record = 0;
    // Most files hold triangles with nothing but numbers beside them: those records have one length.
    if (single !== undefined) {
      const countBytes = SCALAR_BYTES[single.countType];
      const length = single.skip + countBytes + 3 * itemBytes + walk.tail;
      for (; record < element.count && offset + length <= end; record++, offset += length) {
        if (this.scalar(single.countType, offset + single.skip) !== 3) break;
        const at = offset + single.skip + countBytes;
        const a = this.scalar(type, at);
        const b = this.scalar(type, at + itemBytes);
        const c = this.scalar(type, at + 2 * itemBytes);
        // As unsigned numbers, negative ones are too large as well.
        if (a >>> 0 >= layout.numVertices || b >>> 0 >= layout.numVertices || c >>> 0 >= layout.numVertices)
          break;
        out.triangle(a, b, c);
      }
    }
    for (; record < element.count; record++) {
      const next = this.recordEnd(walk, offset, element, record, (list, at, items) => {
        if (list !== place) return;
        ring.reserve(items);
        for (let k = 0; k < items; k++) {
          const index = this.scalar(type, at + k * itemBytes);
          if (index >>> 0 >= layout.numVertices && !(layout.strips && index === -1)) {
            throw badIndex(
              index,
              layout.numVertices,
              `Record ${record} of “${clip(element.name)}” (byte ${offset})`,
            );
          }
          ring.items[k] = index;
        }
        if (layout.strips) unpackStrip(ring.items, items, out);
        else out.face(ring.items, items);
      });
      offset = next;
    }
    return offset;
  }

  skip(element: PlyElement, start: number): number {
    if (isFixed(element)) return start + element.count * leastBytes(element);
    const walk = walkOf(element);
    let offset = start;
    for (let record = 0; record < element.count; record++)
      offset = this.recordEnd(walk, offset, element, record);
    return offset;
  }

  private recordEnd(
    walk: Walk,
    start: number,
    element: PlyElement,
    record: number,
    visit?: (list: number, at: number, items: number) => void,
  ): number {
    let offset = start;
    for (let list = 0; list < walk.lists.length; list++) {
      const { skip, countType, itemBytes } = walk.lists[list];
      offset += skip;
      this.verifyBytes(offset, SCALAR_BYTES[countType], element, record);
      const next = this.listEnd(offset, countType, itemBytes, element, record);
      offset += SCALAR_BYTES[countType];
      visit?.(list, offset, (next - offset) / itemBytes);
      offset = next;
    }
    this.verifyBytes(offset, walk.tail, element, record);
    return offset + walk.tail;
  }

  private listEnd(
    offset: number,
    countType: Scalar,
    itemBytes: number,
    element: PlyElement,
    record: number,
  ): number {
    const items = this.scalar(countType, offset);
    const start = offset + SCALAR_BYTES[countType];
    if (items < 0) {
      throw new IntakeError(
        'wrong-count',
        `Record ${record} of “${clip(element.name)}” (byte ${offset}) has a list of ${items} items.`,
      );
    }
    this.verifyBytes(start, items * itemBytes, element, record);
    return start + items * itemBytes;
  }

  private verifyBytes(offset: number, length: number, element: PlyElement, record: number): void {
    if (offset + length <= this.view.byteLength) return;
    throw new IntakeError(
      'truncated',
      `The PLY file ends at byte ${this.view.byteLength}, within record ${record} of the ${element.count} promised of “${clip(element.name)}”.`,
    );
  }

  private scalar(type: Scalar, offset: number): number {
    const { view, little } = this;
    switch (type) {
      case 'uint8':
        return view.getUint8(offset);
      case 'int8':
        return view.getInt8(offset);
      case 'uint16':
        return view.getUint16(offset, little);
      case 'int16':
        return view.getInt16(offset, little);
      case 'uint32':
        return view.getUint32(offset, little);
      case 'int32':
        return view.getInt32(offset, little);
      case 'float32':
        return view.getFloat32(offset, little);
      case 'float64':
        return view.getFloat64(offset, little);
    }
  }
}

/** Reused memory for the corners of one face. */
class Ring {
  items = new Int32Array(64);

  reserve(length: number): void {
    if (length > this.items.length) this.items = new Int32Array(2 * length);
  }
}

function isFixed(element: PlyElement): boolean {
  return element.properties.every((property) => property.countType === undefined);
}

function offsetOf(element: PlyElement, place: number): number {
  return leastBytes({ ...element, properties: element.properties.slice(0, place) });
}

function walkOf(element: PlyElement): Walk {
  const lists: { skip: number; countType: Scalar; itemBytes: number }[] = [];
  let fixed = 0;
  for (const { type, countType } of element.properties) {
    if (countType === undefined) {
      fixed += SCALAR_BYTES[type];
    } else {
      lists.push({ skip: fixed, countType, itemBytes: SCALAR_BYTES[type] });
      fixed = 0;
    }
  }
  return { lists, tail: fixed };
}

/** A count that is too small leaves records behind; white space and zeros after the last one do no harm. */
function verifyEnd(bytes: Uint8Array, offset: number, header: PlyHeader): void {
  for (let i = offset; i < bytes.length; i++) {
    const byte = bytes[i];
    if (byte === 0 || byte === 10 || byte === 13 || byte === 32 || byte === 26) continue;
    const promised = header.elements
      .map((element) => `${element.count} of “${clip(element.name)}”`)
      .join(', ');
    throw new IntakeError(
      'wrong-count',
      `The PLY header promises ${promised}, but ${count(bytes.length - offset, 'more byte')} follow from byte ${offset} on.`,
    );
  }
}
