/**
 * The means of a picture's cells by vector instructions, sixteen codes at a time: a WebAssembly module of one function, put
 * together here from its instructions (WebAssembly core specification, version 2) for cells of one size, so that rows and
 * columns of a cell need no loops.
 */

/** Sums of 16 bits hold the codes of so many rows; quotients of single precision are right for cells of so many pixels. */
const [MOST_ROWS, MOST_PIXELS] = [257, 4096];
const PAGE = 65_536;

/** Instructions by their opcodes. */
const CODE = {
  ...{ loop: [0x03, 0x40], end: [0x0b], branchIf: [0x0d] },
  ...{ get: [0x20], set: [0x21], tee: [0x22] },
  ...{ i32: [0x41], f32: [0x43], add: [0x6a], below: [0x49], store: [0x36, 2, 0] },
  ...{ load16: [0xfd, 0x00, 0], load8: [0xfd, 0x5d, 0], store16: [0xfd, 0x0b, 0] },
  ...{ shuffle: [0xfd, 0x0d], first32: [0xfd, 0x1b, 0], splat: [0xfd, 0x13] },
  ...{ lower16: [0xfd, 0xa9, 0x01], upper16: [0xfd, 0xaa, 0x01] },
  ...{ add16: [0xfd, 0x8e, 0x01], subtract16: [0xfd, 0x91, 0x01], add32: [0xfd, 0xae, 0x01] },
  ...{ left16: [0xfd, 0x8b, 0x01], right16: [0xfd, 0x8d, 0x01] },
  ...{ narrow32: [0xfd, 0x86, 0x01], narrow16: [0xfd, 0x66] },
  ...{ toFloat: [0xfd, 0xfb, 0x01], toWhole: [0xfd, 0xf9, 0x01] },
  ...{ nearest: [0xfd, 0x6a], divide: [0xfd, 0xe7, 0x01], multiply: [0xfd, 0xe6, 0x01] },
} as const;
const [I32, V128] = [0x7f, 0x7b];

/** Parameters and locals, in their order. */
const PARAMETERS = ['stride', 'sums', 'means', 'last'] as const;
const LOCALS = ['x', 'end', 'from', 'to', 'pair', 'odd', 'codes'] as const;
type Name = (typeof PARAMETERS)[number] | (typeof LOCALS)[number];

const get = (name: Name): readonly number[] => [...CODE.get, placeOf(name)];
const set = (name: Name): readonly number[] => [...CODE.set, placeOf(name)];
const tee = (name: Name): readonly number[] => [...CODE.tee, placeOf(name)];
/** Whole numbers from 0 on. */
const whole = (value: number): readonly number[] => [...CODE.i32, ...signedLeb(value)];
const grow = (name: Name, by: readonly number[]): readonly number[] => [
  ...get(name),
  ...by,
  ...CODE.add,
  ...set(name),
];

function placeOf(name: Name): number {
  return [...PARAMETERS, ...LOCALS].indexOf(name);
}

/** Bytes of one vector (0…15) and another (16…31) by turns, two and two, from the pair `first` on. */
const alternating = (first: number): readonly number[] =>
  [0, 1, 2, 3].flatMap((k) => {
    const at = 2 * (first + k);
    return [at, at + 1, at + 16, at + 17];
  });

/** The sums of the codes at one place of so many rows, over `x`: 16 bits each, in the order of the codes, from `to` on. */
function sumsOfRows(rows: number): readonly number[] {
  const load = [...get('from'), ...CODE.load16, 0];
  const rest = Array.from({ length: rows - 1 }, () => [
    ...[...get('from'), ...get('stride'), ...CODE.add, ...tee('from'), ...CODE.load16, 0, ...tee('codes')],
    ...[...get('pair'), ...CODE.add16, ...set('pair')],
    ...[...get('codes'), ...whole(8), ...CODE.right16, ...get('odd'), ...CODE.add16, ...set('odd')],
  ]).flat();
  return [
    // Two codes at a time, as one number of 16 bits, and the upper one alone: what is over is the lower one.
    ...[...get('x'), ...set('from'), ...load, ...tee('pair'), ...whole(8), ...CODE.right16, ...set('odd')],
    ...rest,
    ...[...get('pair'), ...get('odd'), ...whole(8), ...CODE.left16, ...CODE.subtract16, ...set('pair')],
    ...[...get('to'), ...get('pair'), ...get('odd'), ...CODE.shuffle, ...alternating(0), ...CODE.store16, 0],
    ...[...get('to'), ...get('pair'), ...get('odd'), ...CODE.shuffle, ...alternating(4), ...CODE.store16, 16],
  ];
}

/** Leaves the sum of so many columns from `from` on, four of 32 bits. */
function sumOfColumns(columns: number): readonly number[] {
  const parts: (readonly number[])[] = [];
  for (let k = 0; k + 1 < columns; k += 2) {
    const load = [...get('from'), ...CODE.load16, ...leb(8 * k), ...tee('codes'), ...CODE.lower16];
    parts.push([...load, ...get('codes'), ...CODE.upper16, ...CODE.add32]);
  }
  if (columns % 2 === 1)
    parts.push([...get('from'), ...CODE.load8, ...leb(8 * (columns - 1)), ...CODE.lower16]);
  return parts.flatMap((part, k) => (k === 0 ? part : [...part, ...CODE.add32]));
}

/** Pixels that a vector holds. */
const PER_VECTOR = 4;

/**
 * Body of the function: as many cells at a time as a vector holds pixels, of a strip of pixels at address 0. Sums over their rows, which
 * stay close by, then means of cells of these.
 */
const body = (columns: number, rows: number): readonly number[] => [
  // Up to the `last` address of means.
  ...CODE.loop,
  // For x in steps of sixteen bytes as far as these cells go.
  ...[...get('x'), ...whole(16 * columns), ...CODE.add, ...set('end'), ...get('sums'), ...set('to')],
  ...[...CODE.loop, ...sumsOfRows(rows), ...grow('to', whole(32)), ...grow('x', whole(16))],
  ...[...get('x'), ...get('end'), ...CODE.below, ...CODE.branchIf, 0, ...CODE.end],
  // For each of the cells: the sums of its columns, divided, rounded (halves to even) and narrowed to bytes.
  ...[...get('sums'), ...set('from'), ...CODE.loop, ...get('means')],
  ...[...sumOfColumns(columns), ...CODE.toFloat, ...overPixels(rows * columns)],
  ...[...CODE.nearest, ...CODE.toWhole, ...tee('codes'), ...get('codes'), ...CODE.narrow32],
  ...[...tee('codes'), ...get('codes'), ...CODE.narrow16, ...CODE.first32, ...CODE.store],
  ...[...grow('from', whole(8 * columns)), ...grow('means', whole(4))],
  ...[...get('from'), ...get('to'), ...CODE.below, ...CODE.branchIf, 0, ...CODE.end],
  ...[...get('means'), ...get('last'), ...CODE.below, ...CODE.branchIf, 0, ...CODE.end],
  ...CODE.end,
];

/** The sums over so many pixels; where these are a power of two, times the reciprocal, which is as exact and sooner done. */
function overPixels(count: number): readonly number[] {
  const isPower = (count & (count - 1)) === 0;
  return [...single(isPower ? 1 / count : count), ...CODE.splat, ...(isPower ? CODE.multiply : CODE.divide)];
}

/** A constant of single precision. */
function single(value: number): readonly number[] {
  const view = new DataView(new ArrayBuffer(4));
  view.setFloat32(0, value, true);
  return [...CODE.f32, ...new Uint8Array(view.buffer)];
}

function sized(bytes: readonly number[]): readonly number[] {
  return [...leb(bytes.length), ...bytes];
}

/** Unsigned, little-endian in groups of seven bits. */
function leb(value: number): readonly number[] {
  return value < 128 ? [value] : [(value & 127) | 128, ...leb(value >> 7)];
}

/** The same of a number that may have a sign: the last group's highest bit is 0 for those from 0 on. */
function signedLeb(value: number): readonly number[] {
  return value < 64 ? [value] : [(value & 127) | 128, ...signedLeb(value >> 7)];
}

function named(name: string): readonly number[] {
  return sized([...name].map((letter) => letter.charCodeAt(0)));
}

function moduleBytes(columns: number, rows: number): Uint8Array<ArrayBuffer> {
  const types = PARAMETERS.map(() => I32);
  const locals = [2, 4, I32, 3, V128];
  return Uint8Array.from([
    ...[0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
    ...[1, ...sized([1, 0x60, types.length, ...types, 0])],
    ...[2, ...sized([1, ...named('e'), ...named('memory'), 2, 0, 1])],
    ...[3, ...sized([1, 0])],
    ...[7, ...sized([1, ...named('reduce'), 0, 0])],
    ...[10, ...sized([1, ...sized([...locals, ...body(columns, rows)])])],
  ]);
}

/** By the size of cells: there are as many as pictures are reduced by. */
const compiled = new Map<string, WebAssembly.Module | null>();

/** The module; null where the machine has no such instructions or may not run them. */
function moduleFor(columns: number, rows: number): WebAssembly.Module | null {
  const size = `${columns} ${rows}`;
  const known = compiled.get(size);
  if (known !== undefined) return known;
  let made: WebAssembly.Module | null;
  try {
    made = new WebAssembly.Module(moduleBytes(columns, rows));
  } catch {
    made = null;
  }
  compiled.set(size, made);
  return made;
}

/**
 * Means of cells of `columns` × `rows` pixels (four codes each), halves rounded to even, as 32-bit pixels, row by row;
 * undefined where that can't be done with vectors. `width` pixels a row; cells start at the upper left.
 */
export function meansByVectors(
  rgba: Uint8ClampedArray,
  width: number,
  across: number,
  down: number,
  columns: number,
  rows: number,
): Int32Array<ArrayBuffer> | undefined {
  if (rows > MOST_ROWS || rows * columns > MOST_PIXELS) return undefined;
  const module = moduleFor(columns, rows);
  if (module === null) return undefined;
  const stride = 4 * width;
  // The last cells of a row may reach beyond it, and be fewer than are worked out.
  const sums = 16 * Math.ceil((rows * stride) / 16) + 16 * columns;
  const means = sums + 32 * columns;
  const memory = new WebAssembly.Memory({ initial: Math.ceil((means + 4 * across + 4 * PER_VECTOR) / PAGE) });
  const { exports } = new WebAssembly.Instance(module, { e: { memory } });
  const run = exports.reduce as (...values: readonly number[]) => void;
  const strip = new Uint8Array(memory.buffer);
  const row = new Int32Array(memory.buffer, means, across);
  const out = new Int32Array(across * down);
  const size = rows * stride;
  for (let v = 0; v < down; v++) {
    strip.set(rgba.subarray(v * size, (v + 1) * size));
    run(stride, sums, means, means + 4 * across);
    out.set(row, v * across);
  }
  return out;
}
