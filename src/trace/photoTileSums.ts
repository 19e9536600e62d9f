import type { Pixels } from '../intake/photoTypes.ts';
import type { WholePixels } from '../intake/scaleLight.ts';
import type { Region } from './photoRegion.ts';

/** Cells along the side of a tile: colours are summed by tiles and told by the tiles round about. */
export const TILE = 4;
/** Sums of one set of cells: their number, three colours, the squares of these and the products of each two. */
export const SUMS = 10;
/** Sets of cells: surely inside, surely outside, and the others of the two sides, which touch the boundary. */
export const [SURE_IN, SURE_OUT, OTHERS] = [0, 1, 2];
const SETS = 4;

/** What is read of a region, and where: its own cells, those next to its boundary, and what says nothing of the outside (whole picture). */
export interface Cells {
  readonly region: Region;
  readonly mixed: Uint8Array;
  readonly picture: Pixels;
  readonly fine: WholePixels;
  readonly ratio: number;
  readonly other: Uint8Array | undefined;
}

/** Sums of all sets by tiles, made where they are asked for: few tiles of a large region are near its boundary. */
export class TileSums {
  readonly tiles: number;
  readonly rows: number;
  private readonly cells: Cells;
  /** Leads from a tile to its sums; −1 before they are made. */
  private readonly places: Int32Array;
  /** Those of one tile after another, in one piece of memory: thousands of small ones take longer to make and to clear away than to fill. */
  private sums: Uint32Array;
  private used = 0;

  constructor(tiles: number, rows: number, cells: Cells, expected: number) {
    this.tiles = tiles;
    this.rows = rows;
    this.cells = cells;
    this.places = new Int32Array(tiles * rows).fill(-1);
    this.sums = new Uint32Array(SETS * SUMS * Math.max(1, expected));
  }

  /** Adds what the tiles within `reach` of one tell of a set, and of another. */
  gather(
    tile: number,
    reach: number,
    set: number,
    into: Float64Array,
    other = -1,
    intoOther: Float64Array = into,
  ): void {
    const u = tile % this.tiles;
    const v = Math.floor(tile / this.tiles);
    const left = Math.max(0, u - reach);
    const right = Math.min(this.tiles - 1, u + reach);
    const bottom = Math.min(this.rows - 1, v + reach);
    for (let b = Math.max(0, v - reach); b <= bottom; b++) {
      for (let a = left; a <= right; a++) {
        const at = this.placeOf(a, b);
        addSums(this.sums, at + set * SUMS, into);
        if (other >= 0) addSums(this.sums, at + other * SUMS, intoOther);
      }
    }
  }

  /** Adds what all tiles that were read tell of a set. */
  gatherAll(set: number, into: Float64Array): void {
    for (let at = 0; at < this.used; at += SETS * SUMS) addSums(this.sums, at + set * SUMS, into);
  }

  private placeOf(a: number, b: number): number {
    const tile = b * this.tiles + a;
    if (this.places[tile] >= 0) return this.places[tile];
    const at = this.used;
    this.places[tile] = at;
    this.used += SETS * SUMS;
    if (this.used > this.sums.length) {
      const larger = new Uint32Array(2 * this.used);
      larger.set(this.sums);
      this.sums = larger;
    }
    addTile(this.sums, at, a * TILE, b * TILE, this.cells);
    return at;
  }
}

function addSums(sums: Uint32Array, at: number, into: Float64Array): void {
  for (let k = 0; k < SUMS; k++) into[k] += sums[at + k];
}

/** Whole numbers, which 32 bits hold: a tile has 16 cells, and four pixels of each count. */
function addTile(
  sums: Uint32Array,
  at: number,
  x0: number,
  y0: number,
  { region: { left, top, width, height, mask }, mixed, picture, fine, ratio, other }: Cells,
): void {
  const x1 = Math.min(width, x0 + TILE);
  const y1 = Math.min(height, y0 + TILE);
  // Four pixels of each cell, so that grain and fine texture count as what they are for single pixels.
  const first = ratio >> 2;
  const apart = ratio >> 1;
  for (let y = y0; y < y1; y++) {
    const v0 = Math.min(fine.height - 1, (top + y) * ratio + first) * fine.width;
    const v1 = Math.min(fine.height - 1, (top + y) * ratio + first + apart) * fine.width;
    for (let x = x0, end = x0; x < x1; x = end) {
      const set = setOf(mask, mixed, other, y * width + x, (top + y) * picture.width + left + x);
      do end++;
      while (
        end < x1 &&
        setOf(mask, mixed, other, y * width + end, (top + y) * picture.width + left + end) === set
      );
      const u = (left + x) * ratio + first;
      addCells(sums, at + set * SUMS, fine.whole, v0, v1, u, fine.width - 1, apart, ratio, end - x);
    }
  }
}

/** The set that a cell of a region is of; `cell` is its place in the whole picture. */
function setOf(
  mask: Uint8Array,
  mixed: Uint8Array,
  other: Uint8Array | undefined,
  i: number,
  cell: number,
): number {
  if (mask[i] === 1) return SURE_IN + (mixed[i] === 1 ? OTHERS : 0);
  return SURE_OUT + (mixed[i] === 1 || (other !== undefined && other[cell] === 1) ? OTHERS : 0);
}

/** Adds the colours of four pixels of each of some cells in a row to the sums of a set: those at two columns of the rows that begin at two pixels. */
function addCells(
  sums: Uint32Array,
  at: number,
  whole: Int32Array,
  row0: number,
  row1: number,
  column: number,
  last: number,
  apart: number,
  ratio: number,
  count: number,
): void {
  let r = 0;
  let g = 0;
  let b = 0;
  let rr = 0;
  let gg = 0;
  let bb = 0;
  let rg = 0;
  let rb = 0;
  let gb = 0;
  for (let k = 0; k < 4 * count; k++) {
    const u = Math.min(last, column + (k >> 2) * ratio + (k & 1) * apart);
    const pixel = whole[((k & 2) === 0 ? row0 : row1) + u];
    const red = pixel & 255;
    const green = (pixel >> 8) & 255;
    const blue = (pixel >> 16) & 255;
    // As whole numbers of 32 bits, which hold them: without looking whether they do.
    r = (r + red) | 0;
    g = (g + green) | 0;
    b = (b + blue) | 0;
    rr = (rr + Math.imul(red, red)) | 0;
    gg = (gg + Math.imul(green, green)) | 0;
    bb = (bb + Math.imul(blue, blue)) | 0;
    rg = (rg + Math.imul(red, green)) | 0;
    rb = (rb + Math.imul(red, blue)) | 0;
    gb = (gb + Math.imul(green, blue)) | 0;
  }
  sums[at] += 4 * count;
  sums[at + 1] += r;
  sums[at + 2] += g;
  sums[at + 3] += b;
  sums[at + 4] += rr;
  sums[at + 5] += gg;
  sums[at + 6] += bb;
  sums[at + 7] += rg;
  sums[at + 8] += rb;
  sums[at + 9] += gb;
}
