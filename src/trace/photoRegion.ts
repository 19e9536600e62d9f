import type { Pixels } from '../intake/photoTypes.ts';
import { type LocalColours, likelierInto, localColours, MOST_SAY, placeOf } from './photoColours.ts';

/** A rectangle of cells with 1 inside a piece; cell (0, 0) of it is cell (left, top) of the picture. */
export interface Region {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly mask: Uint8Array;
  /** 1 on cells that stay inside whatever finer pixels say; absent where there are none. */
  readonly firm?: Uint8Array;
}

export interface FinerRegion {
  readonly fine: Region;
  /** The coarse region anew, when the boundary went as far as it was looked for and may go on. */
  readonly again?: Region;
}

/** Cells to either side of a coarse boundary that are decided anew on finer pixels. */
const BAND = 2;
/** Cells round a region that are looked at with it: the band, and where the colours of the outside are read. */
const FRAME = 8;
/** Share of a coarse cell that must be inside for the cell to count: less than half, so that thin tips stay. */
const INSIDE = 0.3;

/**
 * Draws a coarse region again on finer pixels: within a few coarse cells of its boundary every pixel goes to the side
 * whose colours near by it is likelier to be of (normal distributions, 3 × 3 pixels together). `ratio` fine pixels make
 * the side of a coarse one. `other` (coarse, whole picture) marks cells that say nothing of the outside.
 */
export function finerRegion(
  region: Region,
  coarse: Pixels,
  fine: Pixels,
  ratio: number,
  other?: Uint8Array,
): FinerRegion {
  const window = grown(region, coarse, FRAME);
  const edge = edgeCells(window);
  const undecided = bandOf(window, edge, BAND);
  // Those next to the band have a say too, with the side that they are of.
  const heard = bandOf(window, edge, BAND + 1);
  const { firm } = window;
  if (firm !== undefined) for (let i = 0; i < firm.length; i++) if (firm[i] === 1) undecided[i] = 0;
  const colours = localColours(window, undecided, bandOf(window, edge, 1), coarse, fine, ratio, other);
  const [left, top] = [window.left * ratio, window.top * ratio];
  const width = Math.min(window.width * ratio, fine.width - left);
  const height = Math.min(window.height * ratio, fine.height - top);
  const band: Band = { window, undecided, heard, colours };
  const mask = new Uint8Array(width * height);
  const finer = {
    ...{ left, top, width, height, mask },
    ...(firm === undefined ? {} : { firm: spread(firm, window.width, width, height, ratio) }),
  };
  const again = decide(band, fine, finer, ratio);
  if (!goesOn(window, undecided, again)) return { fine: finer };
  return { fine: finer, again: { ...window, mask: again } };
}

/** Cells on finer ones, `ratio` to a side. */
function spread(
  cells: Uint8Array,
  columns: number,
  width: number,
  height: number,
  ratio: number,
): Uint8Array {
  const out = new Uint8Array(width * height);
  for (let i = cells.indexOf(1); i >= 0; i = cells.indexOf(1, i + 1)) {
    const x = (i % columns) * ratio;
    const y = Math.floor(i / columns) * ratio;
    for (let v = y; v < Math.min(height, y + ratio); v++) {
      out.fill(1, v * width + x, v * width + Math.min(width, x + ratio));
    }
  }
  return out;
}

interface Band {
  readonly window: Region;
  readonly undecided: Uint8Array;
  /** Cells of the band and next to it. */
  readonly heard: Uint8Array;
  readonly colours: LocalColours;
}

/**
 * Decides the fine pixels of the band by their own say and that of their eight neighbours, row of cells by row of
 * cells; fills `into.mask`, and gives the coarse mask anew.
 */
function decide(band: Band, fine: Pixels, into: Region, ratio: number): Uint8Array {
  const { window, undecided } = band;
  const { width, height, mask } = into;
  const { mask: inside } = window;
  const again = inside.slice();
  // The says of three rows of cells; row y of the fine window is row y mod 3·ratio of them. What lies beyond says nothing.
  const says = new Float32Array((3 * ratio + 1) * width);
  sayRow(band, fine, into, ratio, 0, says);
  for (let v = 0; v < window.height; v++) {
    sayRow(band, fine, into, ratio, v + 1, says);
    const y0 = v * ratio;
    const y1 = Math.min(height, y0 + ratio);
    const row = v * window.width;
    const end = row + window.width;
    for (let cell = row; cell < end; cell++) {
      // As far as the band cells are as they were: both sides in long runs.
      const next = placeOfOne(undecided, cell, end);
      for (let first = placeOfOne(inside, cell, next); first < next; ) {
        let last = first + 1;
        while (last < next && inside[last] === 1) last++;
        const to = Math.min(width, (last - row) * ratio);
        for (let y = y0; y < y1; y++) mask.fill(1, y * width + (first - row) * ratio, y * width + to);
        first = placeOfOne(inside, last, next);
      }
      cell = next;
      if (cell === end) break;
      const from = (cell - row) * ratio;
      const to = Math.min(width, from + ratio);
      let count = 0;
      for (let y = y0; y < y1; y++) count += decideRow(says, from, to, y, width, height, 3 * ratio, mask);
      again[cell] = count >= INSIDE * ratio * ratio ? 1 : 0;
    }
  }
  return again;
}

/** The first place from one on at which a mask is 1, `end` where it is so at none before that. */
function placeOfOne(mask: Uint8Array, from: number, end: number): number {
  const place = mask.indexOf(1, from);
  return place < 0 || place > end ? end : place;
}

/** Fills in how much likelier each pixel of one row of cells is of the inside; by its cell's side next to the band. */
function sayRow(
  { window, undecided, heard, colours }: Band,
  { rgba, width: pictureWidth }: Pixels,
  { left, top, width, height }: Region,
  ratio: number,
  v: number,
  says: Float32Array,
): void {
  if (v >= window.height) return;
  const strip = (v % 3) * ratio * width;
  const rows = Math.min(height, (v + 1) * ratio) - v * ratio;
  const row = v * window.width;
  const end = row + window.width;
  for (let cell = placeOfOne(heard, row, end); cell < end; cell++) {
    if (heard[cell] === 0) {
      cell = placeOfOne(heard, cell, end);
      if (cell === end) return;
    }
    const u = cell - row;
    const x0 = u * ratio;
    const x1 = Math.min(width, x0 + ratio);
    if (undecided[cell] === 1) {
      const first = 4 * ((top + v * ratio) * pictureWidth + left + x0);
      const block = { rgba, first, pitch: 4 * pictureWidth, columns: x1 - x0, rows };
      likelierInto(colours, placeOf(colours, u, v), block, says, strip + x0, width);
      continue;
    }
    const side = (2 * window.mask[cell] - 1) * MOST_SAY;
    for (let row = 0; row < rows; row++) says.fill(side, strip + row * width + x0, strip + row * width + x1);
  }
}

/**
 * Marks the pixels of a row for which their own say and that of their neighbours is for the inside; how many. Rows of says come round
 * every `cycle`, and the one after these is of zeros.
 */
function decideRow(
  says: Float32Array,
  from: number,
  to: number,
  y: number,
  width: number,
  height: number,
  cycle: number,
  mask: Uint8Array,
): number {
  const row = (y % cycle) * width;
  const above = (y > 0 ? (y - 1) % cycle : cycle) * width;
  const below = (y + 1 < height ? (y + 1) % cycle : cycle) * width;
  let left = from > 0 ? says[above + from - 1] + says[row + from - 1] + says[below + from - 1] : 0;
  let here = says[above + from] + says[row + from] + says[below + from];
  let count = 0;
  for (let x = from; x < to; x++) {
    const next = x + 1;
    const right = next < width ? says[above + next] + says[row + next] + says[below + next] : 0;
    if (left + here + right > 0) {
      mask[y * width + x] = 1;
      count++;
    }
    left = here;
    here = right;
  }
  return count;
}

/** Whether a cell changed sides next to one that was not decided anew and keeps the side that it left. */
function goesOn({ width, height, mask }: Region, undecided: Uint8Array, again: Uint8Array): boolean {
  for (let i = 0; i < mask.length; i++) {
    if (again[i] === mask[i]) continue;
    const y = Math.floor(i / width);
    const x = i - y * width;
    if (x === 0 || y === 0 || x + 1 === width || y + 1 === height) continue;
    for (let k = 0; k < 9; k++) {
      const j = i + (Math.floor(k / 3) - 1) * width + (k % 3) - 1;
      if (undecided[j] === 0 && mask[j] === mask[i]) return true;
    }
  }
  return false;
}

/** The region with a frame of `by` empty cells, as far as the picture goes. */
function grown(region: Region, picture: Pixels, by: number): Region {
  const left = Math.max(0, region.left - by);
  const top = Math.max(0, region.top - by);
  const width = Math.min(picture.width, region.left + region.width + by) - left;
  const height = Math.min(picture.height, region.top + region.height + by) - top;
  const mask = laidInto(region, region.mask, left, top, width, height);
  const firm =
    region.firm === undefined ? {} : { firm: laidInto(region, region.firm, left, top, width, height) };
  return { left, top, width, height, mask, ...firm };
}

/** Cells of a region in a rectangle that holds it, with 0 beyond. */
function laidInto(
  region: Region,
  cells: Uint8Array,
  left: number,
  top: number,
  width: number,
  height: number,
): Uint8Array {
  const out = new Uint8Array(width * height);
  for (let y = 0; y < region.height; y++) {
    const from = y * region.width;
    out.set(cells.subarray(from, from + region.width), (y + region.top - top) * width + region.left - left);
  }
  return out;
}

/** Cells that have one of the other side among their eight neighbours. */
function edgeCells({ width, height, mask }: Region): number[] {
  const found = new Uint8Array(mask.length);
  const cells: number[] = [];
  for (let y = 0; y + 1 < height; y++) {
    const row = y * width;
    let last = mask[row] + mask[row + width];
    for (let x = row + 1; x < row + width; x++) {
      const next = mask[x] + mask[x + width];
      const sum = last + next;
      last = next;
      // Neighbours share a block of 2 × 2 cells, and all cells of a mixed block have a neighbour of the other side.
      if (sum === 0 || sum === 4) continue;
      for (const cell of [x - 1, x, x - 1 + width, x + width]) {
        if (found[cell] === 0) cells.push(cell);
        found[cell] = 1;
      }
    }
  }
  return cells;
}

/** 1 where cells of both sides lie within `reach` cells, along rows, columns or both. */
function bandOf({ width, height, mask }: Region, edge: readonly number[], reach: number): Uint8Array {
  const band = new Uint8Array(mask.length);
  // The nearest cell of the other side has this side among its neighbours: only such cells need to spread.
  for (const cell of edge) {
    const side = mask[cell];
    const y = Math.floor(cell / width);
    const x = cell - y * width;
    const x0 = Math.max(0, x - reach);
    const x1 = Math.min(width - 1, x + reach);
    const y1 = Math.min(height - 1, y + reach);
    for (let b = Math.max(0, y - reach); b <= y1; b++) {
      for (let a = b * width + x0; a <= b * width + x1; a++) if (mask[a] !== side) band[a] = 1;
    }
  }
  return band;
}
