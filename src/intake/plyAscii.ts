import { FaceCollector } from './faceCollector.ts';
import type { PlyElement, PlyHeader } from './plyHeader.ts';
import type { PlyLayout } from './plyLayout.ts';
import { type RawMesh, verifySize } from './rawMesh.ts';
import { unpackStrip } from './strips.ts';
import { TextScanner } from './textScanner.ts';
import { IntakeError } from './types.ts';
import { badIndex, verifyCoordinates } from './verify.ts';
import { clip, count } from './wording.ts';

/** The body of an ASCII PLY file: one record a line, blank lines allowed. */
export function readPlyAscii(bytes: Uint8Array, header: PlyHeader, layout: PlyLayout): RawMesh {
  const scanner = new TextScanner(bytes, { offset: header.end, line: header.numLines + 1 });
  const reader = new LineReader(scanner);
  let positions = new Float64Array(0);
  let faces = new FaceCollector(0);
  header.elements.forEach((element, index) => {
    // Records without properties take no lines, however many are promised.
    if (element.properties.length === 0) return;
    reader.verifyRoom(element);
    if (index === layout.vertexElement) {
      verifySize(element.count, 0);
      positions = new Float64Array(3 * element.count);
      reader.vertices(element, layout, positions);
    } else if (index === layout.faceElement) {
      // A triangle takes at least the eight bytes of "3 0 1 2\n".
      faces = new FaceCollector(Math.min(element.count, Math.ceil(bytes.length / 8)));
      reader.faces(element, layout, faces);
    } else {
      for (let record = 0; record < element.count; record++) reader.record(element, record);
    }
  });
  if (scanner.skipBlankLines()) {
    throw new IntakeError(
      'wrong-count',
      `Line ${scanner.line} of the PLY file comes after the last record that the header promises.`,
    );
  }
  return { positions, triangles: faces.finish(positions), numEmptyFaces: faces.numEmpty };
}

class LineReader {
  /** The items of the last list read by `record` at the place asked for. */
  private readonly list: number[] = [];
  private listLength = 0;

  constructor(private readonly scanner: TextScanner) {}

  /** Every record is a line of two bytes at least (the last may lack its line end). */
  verifyRoom(element: PlyElement): void {
    const left = this.scanner.bytes.length - this.scanner.offset;
    if (2 * element.count - 1 <= left) return;
    throw new IntakeError(
      'truncated',
      `The PLY header promises ${element.count} lines of “${clip(element.name)}”, but only ${count(left, 'byte')} are left from line ${this.scanner.line} on.`,
    );
  }

  vertices(element: PlyElement, { xyz }: PlyLayout, positions: Float64Array): void {
    const axisOf = element.properties.map((_, place) => xyz.indexOf(place));
    const plain = element.properties.every((property) => property.countType === undefined);
    for (let v = 0; v < element.count; v++) {
      if (!plain) {
        this.record(element, v, -1, (place, value) => {
          if (axisOf[place] !== -1) positions[3 * v + axisOf[place]] = value;
        });
        continue;
      }
      this.open(element, v);
      for (let place = 0; place < axisOf.length; place++) {
        const value = this.number(element, v);
        const axis = axisOf[place];
        if (axis !== -1) positions[3 * v + axis] = value;
      }
      this.close(element, v);
    }
    verifyCoordinates(positions, (v) => `vertex ${v}`);
  }

  faces(element: PlyElement, layout: PlyLayout, out: FaceCollector): void {
    for (let f = 0; f < element.count; f++) {
      this.record(element, f, layout.corners);
      const { list, listLength } = this;
      for (let k = 0; k < listLength; k++) {
        const index = list[k];
        const isRestart = layout.strips && index === -1;
        if (isRestart || (index >= 0 && index < layout.numVertices && Number.isInteger(index))) continue;
        throw badIndex(index, layout.numVertices, this.where(element, f));
      }
      if (layout.strips) unpackStrip(list, listLength, out);
      else out.face(list, listLength);
      this.scanner.nextLine();
    }
  }

  /** One line; the list at `wanted` is kept in `this.list`. Stays on the line, at its end. */
  record(
    element: PlyElement,
    record: number,
    wanted = -1,
    visit?: (place: number, value: number) => void,
  ): void {
    this.open(element, record);
    for (let place = 0; place < element.properties.length; place++) {
      const value = this.number(element, record);
      if (element.properties[place].countType === undefined) {
        visit?.(place, value);
        continue;
      }
      if (!Number.isInteger(value) || value < 0) {
        throw new IntakeError('wrong-count', `${this.where(element, record)} has a list of ${value} items.`);
      }
      if (place === wanted) this.listLength = value;
      for (let k = 0; k < value; k++) {
        const item = this.number(element, record);
        if (place === wanted) this.list[k] = item;
      }
    }
    this.close(element, record);
  }

  private open(element: PlyElement, record: number): void {
    if (this.scanner.skipBlankLines()) return;
    throw new IntakeError(
      'truncated',
      `The PLY file ends at line ${this.scanner.line}, after ${record} of the ${count(element.count, 'line')} promised of “${clip(element.name)}”.`,
    );
  }

  private close(element: PlyElement, record: number): void {
    if (!this.scanner.skipSpaces()) return;
    throw new IntakeError(
      'wrong-count',
      `${this.where(element, record)} holds more than its ${count(element.properties.length, 'property')}: “${clip(this.scanner.word())}” is left over.`,
    );
  }

  private number(element: PlyElement, record: number): number {
    const { scanner } = this;
    if (!scanner.skipSpaces()) {
      throw new IntakeError(
        scanner.atEnd ? 'truncated' : 'wrong-count',
        `${this.where(element, record)} ends too soon: a number is missing.`,
      );
    }
    const value = scanner.number();
    if (Number.isNaN(value)) {
      throw new IntakeError(
        'bad-number',
        `${this.where(element, record)} has “${clip(scanner.word())}” where a finite number belongs.`,
      );
    }
    return value;
  }

  private where(element: PlyElement, record: number): string {
    return `Line ${this.scanner.line} of the PLY file (record ${record} of “${clip(element.name)}”)`;
  }
}
