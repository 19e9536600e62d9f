import { contours } from 'd3-contour';
import { distanceInside, distanceTo } from './rasterDistance.ts';
import type { Points2 } from './types.ts';

/** Some cells of a grid, held in a window of it. Lengths are in cells. */
export interface Region {
  /** Column and row of the window's first cell in the grid (may be negative: the window has a rim of empty cells). */
  readonly column0: number;
  readonly row0: number;
  readonly columns: number;
  readonly rows: number;
  /** 1 for a cell of the region; row-major in the window. */
  readonly mask: Uint8Array;
  /** Number of cells in the region. */
  readonly count: number;
}

/** Empty cells round every window. */
const RIM = 2;

/** The cells that hang together by their sides with `seed` and are at least `level`; NaN is below every level. */
export function regionAbove(heights: Float32Array, columns: number, seed: number, level: number): Region {
  return flood(heights.length, columns, seed, (k) => heights[k] >= level);
}

/** The part of a region that a disc of `radius` can sweep without leaving it, as far as it hangs together with `near`. */
export function openRegion(region: Region, radius: number, near: { column: number; row: number }): Region {
  const { mask, columns } = region;
  const inside = distanceInside(mask, columns);
  const away = distanceTo(
    Uint8Array.from(inside, (d) => (d >= radius ? 1 : 0)),
    columns,
  );
  // Half a cell more than the disc: centres on a fine grid round its rim up and down.
  const swept = mask.map((one, k) => (one === 1 && away[k] <= radius + 0.5 ? 1 : 0));
  const seed = nearest(swept, region, near);
  if (seed < 0) return { ...region, mask: new Uint8Array(mask.length), count: 0 };
  const part = flood(swept.length, columns, seed, (k) => swept[k] === 1);
  return { ...part, column0: part.column0 + region.column0, row0: part.row0 + region.row0 };
}

/** The region with every cell nearer to it than `radius`. */
export function growRegion(region: Region, radius: number): Region {
  const pad = Math.ceil(radius) + RIM;
  const columns = region.columns + 2 * pad;
  const rows = region.rows + 2 * pad;
  const mask = new Uint8Array(columns * rows);
  for (let r = 0; r < region.rows; r++) {
    mask.set(region.mask.subarray(r * region.columns, (r + 1) * region.columns), (r + pad) * columns + pad);
  }
  const grown = Uint8Array.from(distanceTo(mask, columns), (away) => (away <= radius ? 1 : 0));
  return {
    column0: region.column0 - pad,
    row0: region.row0 - pad,
    columns,
    rows,
    mask: grown,
    count: grown.reduce((sum, one) => sum + one, 0),
  };
}

/** Radius of the greatest disc that fits in. */
export function inradius({ mask, columns }: Region): number {
  return distanceInside(mask, columns).reduce((most, d) => Math.max(most, d), 0);
}

/** Calls `visit` with the column and row in the grid of each cell. */
export function visitRegion(region: Region, visit: (column: number, row: number) => void): void {
  for (let k = 0; k < region.mask.length; k++) {
    if (region.mask[k] === 0) continue;
    const row = Math.floor(k / region.columns);
    visit(region.column0 + k - row * region.columns, region.row0 + row);
  }
}

/**
 * The outermost ring round a region, counter-clockwise, in grid coordinates (whole numbers at cell centres): the contour
 * half-way up the mask after a 3 × 3 mean, so that corners of cells are cut. Empty for an empty region.
 */
export function regionRing(region: Region): Points2 {
  const { columns, rows, column0, row0 } = region;
  const blurred = blur(region);
  const polygons = contours().size([columns, rows]).contour(Array.from(blurred), 0.5).coordinates;
  let best: number[][] = [];
  for (const [outer] of polygons) if (Math.abs(twiceArea(outer)) > Math.abs(twiceArea(best))) best = outer;
  // d3 closes rings by repeating the first point and puts the centre of cell 0 at 0.5.
  const open = best.slice(0, -1);
  if (twiceArea(best) < 0) open.reverse();
  return Float64Array.from(open.flatMap(([x, y]) => [x - 0.5 + column0, y - 0.5 + row0]));
}

/** Twice the signed area of a ring whose first point is repeated at its end. */
function twiceArea(ring: readonly number[][]): number {
  let sum = 0;
  for (let i = 0; i + 1 < ring.length; i++) {
    sum += ring[i][0] * ring[i + 1][1] - ring[i + 1][0] * ring[i][1];
  }
  return sum;
}

function blur({ mask, columns, rows }: Region): Float64Array {
  const out = new Float64Array(mask.length);
  for (let r = 1; r + 1 < rows; r++) {
    for (let c = 1; c + 1 < columns; c++) {
      let sum = 0;
      for (let k = (r - 1) * columns; k <= (r + 1) * columns; k += columns) {
        sum += mask[k + c - 1] + mask[k + c] + mask[k + c + 1];
      }
      out[r * columns + c] = sum / 9;
    }
  }
  return out;
}

/** Index of the cell of a mask nearest to a place in the grid; −1 where the mask is empty. */
function nearest(
  mask: Uint8Array,
  { column0, row0, columns }: Region,
  near: { column: number; row: number },
): number {
  let best = -1;
  let least = Infinity;
  for (let k = 0; k < mask.length; k++) {
    if (mask[k] === 0) continue;
    const row = Math.floor(k / columns);
    const away = Math.hypot(row0 + row - near.row, column0 + k - row * columns - near.column);
    if (away < least) {
      least = away;
      best = k;
    }
  }
  return best;
}

/** Cells joined to `seed` by their sides for which `belongs` holds, in a window of their own. */
function flood(size: number, columns: number, seed: number, belongs: (cell: number) => boolean): Region {
  const seen = new Uint8Array(size);
  const cells: number[] = [];
  const open = [seed];
  seen[seed] = 1;
  let left = columns;
  let right = -1;
  let low = Infinity;
  let high = -1;
  while (open.length > 0) {
    const k = open.pop()!;
    if (!belongs(k)) continue;
    cells.push(k);
    const row = Math.floor(k / columns);
    const column = k - row * columns;
    left = Math.min(left, column);
    right = Math.max(right, column);
    low = Math.min(low, row);
    high = Math.max(high, row);
    for (const near of [
      column > 0 ? k - 1 : -1,
      column + 1 < columns ? k + 1 : -1,
      k - columns,
      k + columns < size ? k + columns : -1,
    ]) {
      if (near < 0 || seen[near] === 1) continue;
      seen[near] = 1;
      open.push(near);
    }
  }
  if (cells.length === 0) [left, right, low, high] = [0, 0, 0, 0];
  const width = right - left + 1 + 2 * RIM;
  const mask = new Uint8Array(width * (high - low + 1 + 2 * RIM));
  for (const k of cells) {
    const row = Math.floor(k / columns);
    mask[(row - low + RIM) * width + (k - row * columns) - left + RIM] = 1;
  }
  return {
    column0: left - RIM,
    row0: low - RIM,
    columns: width,
    rows: mask.length / width,
    mask,
    count: cells.length,
  };
}
