import { IntakeError } from './types.ts';
import { clip } from './wording.ts';

export type PlyEncoding = 'ascii' | 'little-endian' | 'big-endian';

export type Scalar = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'float32' | 'float64';

export const SCALAR_BYTES: Readonly<Record<Scalar, number>> = {
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  float32: 4,
  float64: 8,
};

const SCALARS: ReadonlyMap<string, Scalar> = new Map<string, Scalar>([
  ['char', 'int8'],
  ['uchar', 'uint8'],
  ['short', 'int16'],
  ['ushort', 'uint16'],
  ['int', 'int32'],
  ['uint', 'uint32'],
  ['float', 'float32'],
  ['double', 'float64'],
  ...(Object.keys(SCALAR_BYTES) as Scalar[]).map((name): [string, Scalar] => [name, name]),
]);

export interface PlyProperty {
  readonly name: string;
  readonly type: Scalar;
  /** Type of the count before a list's items; undefined for a single number. */
  readonly countType?: Scalar;
}

export interface PlyElement {
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}

export interface PlyHeader {
  readonly encoding: PlyEncoding;
  readonly elements: readonly PlyElement[];
  /** Offset of the first byte after the header. */
  readonly end: number;
  /** Lines in the header; the first line of the body is the next, counted from 1. */
  readonly numLines: number;
}

const ENCODINGS: ReadonlyMap<string, PlyEncoding> = new Map([
  ['ascii', 'ascii'],
  ['binary_little_endian', 'little-endian'],
  ['binary_big_endian', 'big-endian'],
]);

/** Bytes of the longest header that is read; keeps a file without end_header from being walked to its end. */
const LONGEST_HEADER = 1 << 20;

/**
 * Reads the header of a PLY file. Lines end in \n, \r\n or \r, whichever the first one has: that matters because the
 * first byte of a binary body may look like one.
 * Format: G. Turk, "The PLY Polygon File Format", 1994.
 */
export function readPlyHeader(bytes: Uint8Array, start = 0): PlyHeader {
  const elements: { name: string; count: number; properties: PlyProperty[] }[] = [];
  let encoding: PlyEncoding | undefined;
  let offset = start;
  const newline = lineEnd(bytes, start);
  for (let numLines = 1; ; numLines++) {
    const line = readLine(bytes, offset, numLines, newline);
    offset = line.next;
    if (offset - start > LONGEST_HEADER) {
      throw new IntakeError('bad-header', 'The PLY header is over 1 MB long, which no real one is.');
    }
    const words = line.text.trim().split(/\s+/);
    const fail = (what: string): never => {
      throw new IntakeError('bad-header', `Line ${numLines} of the PLY header ${what}.`);
    };
    switch (words[0]) {
      case 'ply':
        if (numLines !== 1) fail('says “ply” again');
        break;
      case 'format':
        encoding = ENCODINGS.get(words[1]);
        if (encoding === undefined) {
          fail(`names the encoding “${clip(words[1])}”; known are ${[...ENCODINGS.keys()].join(', ')}`);
        }
        if (words[2] !== '1.0') fail(`names the version “${clip(words[2])}”; only 1.0 is known`);
        break;
      case 'comment':
      case 'obj_info':
      case '':
        break;
      case 'element':
        elements.push(readElement(words, fail));
        break;
      case 'property': {
        const element = elements.at(-1);
        if (element === undefined) fail('has a property before any element');
        else element.properties.push(readProperty(words, fail));
        break;
      }
      case 'end_header':
        if (encoding === undefined) {
          throw new IntakeError('bad-header', 'The PLY header has no format line.');
        }
        return { encoding, elements, end: offset, numLines };
      default:
        fail(`starts with “${clip(words[0])}”, which is no PLY keyword`);
    }
  }
}

type Fail = (what: string) => never;

function readElement(words: readonly string[], fail: Fail): PlyElement & { properties: PlyProperty[] } {
  const [, name, digits] = words;
  if (name === undefined || digits === undefined || words.length > 3) {
    fail('should read “element”, a name and a count');
  }
  if (!/^\d+$/.test(digits)) fail(`gives “${clip(digits)}” as the number of ${clip(name)} elements`);
  const count = Number(digits);
  if (!Number.isSafeInteger(count))
    fail(`promises ${clip(digits)} ${clip(name)} elements, more than any file holds`);
  return { name, count, properties: [] };
}

function readProperty(words: readonly string[], fail: Fail): PlyProperty {
  const scalar = (word: string | undefined): Scalar =>
    SCALARS.get(word ?? '') ?? fail(`has the unknown type “${clip(word)}”`);
  const isList = words[1] === 'list';
  if (words.length !== (isList ? 5 : 3)) {
    fail(`should read “property”, ${isList ? '“list”, two types' : 'a type'} and a name`);
  }
  if (!isList) return { type: scalar(words[1]), name: words[2] };
  const countType = scalar(words[2]);
  if (countType.startsWith('float')) fail('counts the items of a list with a fractional type');
  return { countType, type: scalar(words[3]), name: words[4] };
}

/** The byte that ends lines, as the first line has it. */
function lineEnd(bytes: Uint8Array, start: number): number {
  const first = bytes.subarray(start, start + 200).findIndex((byte) => byte === 10 || byte === 13);
  return bytes[start + first] === 13 && bytes[start + first + 1] !== 10 ? 13 : 10;
}

function readLine(
  bytes: Uint8Array,
  from: number,
  number: number,
  newline: number,
): { text: string; next: number } {
  const found = bytes.subarray(from, from + LONGEST_HEADER).indexOf(newline);
  if (found === -1) {
    throw new IntakeError(
      'truncated',
      `The PLY header does not end: no line “end_header” was found from line ${number} (byte ${from}) on.`,
    );
  }
  const text = String.fromCharCode(...bytes.subarray(from, from + Math.min(found, 2000)));
  return { text, next: from + found + 1 };
}
