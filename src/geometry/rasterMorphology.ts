/**
 * Masks shrunk and grown by squares (mathematical morphology: Serra 1982). A mask has a byte a cell, 0 or 1, row by row; what lies
 * beyond its rim has no say. Cells are looked at four at once, a square of any side by as many squares of three.
 */

/** 1 where all cells of a square of `side` cells (odd) about one are. */
export function eroded(mask: Uint8Array, columns: number, side = 3): Uint8Array {
  return cellsOf(shrunk(fourCells(mask, columns), side), columns, mask.length);
}

/** 1 where any cell of such a square is. */
export function dilated(mask: Uint8Array, columns: number, side = 3): Uint8Array {
  return cellsOf(spread(fourCells(mask, columns), side), columns, mask.length);
}

/** The cells that such squares cover which lie in the mask. */
export function opened(mask: Uint8Array, columns: number, side = 3): Uint8Array {
  return cellsOf(spread(shrunk(fourCells(mask, columns), side), side), columns, mask.length);
}

/** The cells that no such square covers which lies clear of the mask. */
export function closed(mask: Uint8Array, columns: number, side = 3): Uint8Array {
  return cellsOf(shrunk(spread(fourCells(mask, columns), side), side), columns, mask.length);
}

/** Rows of whole words, four cells each, the first in the lowest byte. */
interface Words {
  readonly words: Int32Array;
  readonly perRow: number;
  /** The bits of a row's last word that are cells. */
  readonly cells: number;
}

const ALL_ONE = 0x01010101;

function fourCells(mask: Uint8Array, columns: number): Words {
  const perRow = Math.ceil(columns / 4);
  const rows = mask.length / columns;
  const words = new Int32Array(perRow * rows);
  const bytes = new Uint8Array(words.buffer);
  if (4 * perRow === columns) bytes.set(mask);
  else {
    for (let r = 0; r < rows; r++) bytes.set(mask.subarray(r * columns, (r + 1) * columns), 4 * perRow * r);
  }
  return { words, perRow, cells: (-1 >>> (8 * (4 * perRow - columns))) | 0 };
}

function cellsOf({ words, perRow }: Words, columns: number, count: number): Uint8Array {
  const bytes = new Uint8Array(words.buffer);
  if (4 * perRow === columns) return bytes;
  const mask = new Uint8Array(count);
  for (let to = 0, from = 0; to < count; to += columns, from += 4 * perRow) {
    mask.set(bytes.subarray(from, from + columns), to);
  }
  return mask;
}

/** By a square, three cells at a time. */
function shrunk(from: Words, side: number): Words {
  let now = from;
  for (let reach = 1; 2 * reach < side; reach++) {
    const words = new Int32Array(now.words.length);
    for (let at = 0; at < words.length; at += now.perRow) shrinkRow(now, at, words);
    now = { ...now, words };
  }
  return now;
}

function spread(from: Words, side: number): Words {
  let now = from;
  for (let reach = 1; 2 * reach < side; reach++) {
    const words = new Int32Array(now.words.length);
    for (let at = 0; at < words.length; at += now.perRow) spreadRow(now, at, words);
    now = { ...now, words };
  }
  return now;
}

/** One row, from its first word on, of those that all of the nine cells about one are in. */
function shrinkRow({ words, perRow, cells }: Words, row: number, into: Int32Array): void {
  const last = row + perRow - 1;
  const up = row > 0 ? -perRow : 0;
  const down = last + 1 < words.length ? perRow : 0;
  // Of the cells beyond the rim all are in, so that they have no say.
  const beyond = ALL_ONE & ~cells;
  let before = ALL_ONE;
  let here = words[row + up] & words[row] & words[row + down];
  for (let i = row; i <= last; i++) {
    let after = ALL_ONE;
    if (i < last) after = words[i + 1 + up] & words[i + 1] & words[i + 1 + down];
    else here |= beyond;
    into[i] = here & ((here << 8) | (before >>> 24)) & ((here >>> 8) | (after << 24));
    before = here;
    here = after;
  }
  into[last] &= cells;
}

/** The same of those that any of the nine is in. */
function spreadRow({ words, perRow, cells }: Words, row: number, into: Int32Array): void {
  const last = row + perRow - 1;
  const up = row > 0 ? -perRow : 0;
  const down = last + 1 < words.length ? perRow : 0;
  let before = 0;
  let here = words[row + up] | words[row] | words[row + down];
  for (let i = row; i <= last; i++) {
    const after = i < last ? words[i + 1 + up] | words[i + 1] | words[i + 1 + down] : 0;
    into[i] = here | (here << 8) | (before >>> 24) | (here >>> 8) | (after << 24);
    before = here;
    here = after;
  }
  into[last] &= cells;
}
