/**
 * The means of a picture's cells by vector instructions, sixteen codes at a time: a WebAssembly module of one function, put
 * together here from its instructions (WebAssembly core specification, version 2).
 */

/** Sums of 16 bits hold the codes of so many rows; quotients of single precision are right for cells of so many pixels. */
const [MOST_ROWS, MOST_PIXELS] = [257, 4096];
const PAGE = 65_536;

/** Instructions by their opcodes. */
const CODE = {
  ...{ block: [0x02, 0x40], loop: [0x03, 0x40], end: [0x0b], branch: [0x0c], branchIf: [0x0d] },
  ...{
    get: [0x20],
    set: [0x21],
    i32: [0x41],
    add: [0x6a],
    subtract: [0x6b],
    below: [0x49],
    store: [0x36, 2, 0],
  },
  ...{ load16: [0xfd, 0x00, 0, 0], store16: [0xfd, 0x0b, 0, 0], load8: [0xfd, 0x5d, 0, 0] },
  ...{ zeros: [0xfd, 0x0c, ...new Array<number>(16).fill(0)], first32: [0xfd, 0x1b, 0] },
  ...{ lower8: [0xfd, 0x89, 0x01], upper8: [0xfd, 0x8a, 0x01], lower16: [0xfd, 0xa9, 0x01] },
  ...{
    add16: [0xfd, 0x8e, 0x01],
    add32: [0xfd, 0xae, 0x01],
    narrow32: [0xfd, 0x86, 0x01],
    narrow16: [0xfd, 0x66],
  },
  ...{ toFloat: [0xfd, 0xfb, 0x01], toWhole: [0xfd, 0xf9, 0x01], nearest: [0xfd, 0x6a] },
  ...{ divide: [0xfd, 0xe7, 0x01], splat: [0xfd, 0x13] },
} as const;
const [I32, F32, V128] = [0x7f, 0x7d, 0x7b];

/** Parameters and locals, in their order. */
const PARAMETERS = ['stride', 'rows', 'columns', 'cells', 'sums', 'means', 'count'] as const;
const LOCALS = ['x', 'from', 'left', 'end', 'low', 'high'] as const;
type Name = (typeof PARAMETERS)[number] | (typeof LOCALS)[number];

const get = (name: Name): readonly number[] => [...CODE.get, placeOf(name)];
const set = (name: Name): readonly number[] => [...CODE.set, placeOf(name)];
/** Whole numbers under 64. */
const whole = (value: number): readonly number[] => [...CODE.i32, value];
const grow = (name: Name, by: readonly number[]): readonly number[] => [
  ...get(name),
  ...by,
  ...CODE.add,
  ...set(name),
];

function placeOf(name: Name): number {
  return [...PARAMETERS, ...LOCALS].indexOf(name);
}

/** Body of the function: sums of columns of pixels over the rows of a strip at address 0, then means of cells of these. */
const body = (): readonly number[] => [
  // For x from 0 to the stride in steps of sixteen bytes.
  ...CODE.loop,
  ...[...CODE.zeros, ...set('low'), ...CODE.zeros, ...set('high')],
  ...[...get('x'), ...set('from'), ...get('rows'), ...set('left')],
  // For each row: its codes, widened to 16 bits, onto the sums.
  ...CODE.loop,
  ...[...get('from'), ...CODE.load16, ...CODE.lower8, ...get('low'), ...CODE.add16, ...set('low')],
  ...[...get('from'), ...CODE.load16, ...CODE.upper8, ...get('high'), ...CODE.add16, ...set('high')],
  ...grow('from', get('stride')),
  ...[...get('left'), ...whole(1), ...CODE.subtract, ...set('left'), ...get('left'), ...CODE.branchIf, 0],
  ...CODE.end,
  ...[...get('sums'), ...get('x'), ...CODE.add, ...get('x'), ...CODE.add, ...set('end')],
  ...[...get('end'), ...get('low'), ...CODE.store16],
  ...[...get('end'), ...whole(16), ...CODE.add, ...get('high'), ...CODE.store16],
  ...grow('x', whole(16)),
  ...[...get('x'), ...get('stride'), ...CODE.below, ...CODE.branchIf, 0],
  ...CODE.end,
  // For each cell: the sums of its columns, four of 32 bits; divided, rounded (halves to even) and narrowed to bytes.
  ...[...get('sums'), ...set('from')],
  ...CODE.loop,
  ...[...CODE.zeros, ...set('low'), ...get('columns'), ...set('left')],
  ...CODE.loop,
  ...[...get('from'), ...CODE.load8, ...CODE.lower16, ...get('low'), ...CODE.add32, ...set('low')],
  ...grow('from', whole(8)),
  ...[...get('left'), ...whole(1), ...CODE.subtract, ...set('left'), ...get('left'), ...CODE.branchIf, 0],
  ...CODE.end,
  ...[...get('low'), ...CODE.toFloat, ...get('count'), ...CODE.splat, ...CODE.divide],
  ...[...CODE.nearest, ...CODE.toWhole, ...set('low')],
  ...[...get('means'), ...get('low'), ...get('low'), ...CODE.narrow32],
  ...[...get('low'), ...get('low'), ...CODE.narrow32, ...CODE.narrow16, ...CODE.first32, ...CODE.store],
  ...grow('means', whole(4)),
  ...[...get('cells'), ...whole(1), ...CODE.subtract, ...set('cells'), ...get('cells'), ...CODE.branchIf, 0],
  ...CODE.end,
  ...CODE.end,
];

function sized(bytes: readonly number[]): readonly number[] {
  return [...leb(bytes.length), ...bytes];
}

/** Unsigned, little-endian in groups of seven bits. */
function leb(value: number): readonly number[] {
  return value < 128 ? [value] : [(value & 127) | 128, ...leb(value >> 7)];
}

function named(name: string): readonly number[] {
  return sized([...name].map((letter) => letter.charCodeAt(0)));
}

function moduleBytes(): Uint8Array<ArrayBuffer> {
  const types = PARAMETERS.map((name) => (name === 'count' ? F32 : I32));
  const locals = [2, 4, I32, 2, V128];
  return Uint8Array.from([
    ...[0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
    ...[1, ...sized([1, 0x60, types.length, ...types, 0])],
    ...[2, ...sized([1, ...named('e'), ...named('memory'), 2, 0, 1])],
    ...[3, ...sized([1, 0])],
    ...[7, ...sized([1, ...named('reduce'), 0, 0])],
    ...[10, ...sized([1, ...sized([...locals, ...body()])])],
  ]);
}

let compiled: WebAssembly.Module | null | undefined;

/** The module; null where the machine has no such instructions or may not run them. */
function theModule(): WebAssembly.Module | null {
  if (compiled !== undefined) return compiled;
  try {
    compiled = new WebAssembly.Module(moduleBytes());
  } catch {
    compiled = null;
  }
  return compiled;
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
  const module = theModule();
  if (module === null) return undefined;
  const stride = 4 * width;
  // The last vector of a row may reach beyond it.
  const sums = 16 * Math.ceil((rows * stride) / 16) + 16;
  const means = 4 * Math.ceil((sums + 2 * stride + 32) / 4);
  const memory = new WebAssembly.Memory({ initial: Math.ceil((means + 4 * across) / PAGE) });
  const { exports } = new WebAssembly.Instance(module, { e: { memory } });
  const run = exports.reduce as (...values: readonly number[]) => void;
  const strip = new Uint8Array(memory.buffer);
  const row = new Int32Array(memory.buffer, means, across);
  const out = new Int32Array(across * down);
  const size = rows * stride;
  for (let v = 0; v < down; v++) {
    strip.set(rgba.subarray(v * size, (v + 1) * size));
    run(stride, rows, columns, across, sums, means, rows * columns);
    out.set(row, v * across);
  }
  return out;
}
