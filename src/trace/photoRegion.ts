import type { Pixels } from '../intake/photoTypes.ts';

/** A rectangle of cells with 1 inside a piece; cell (0, 0) of it is cell (left, top) of the picture. */
export interface Region {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly mask: Uint8Array;
}

export interface FinerRegion {
  readonly fine: Region;
  /** The coarse region anew, when the boundary went as far as it was looked for and may go on. */
  readonly again?: Region;
}

/** Cells to either side of a coarse boundary that are decided anew on finer pixels. */
const BAND = 2;
/** Reach of local colours, coarse cells; where too few cells are there, the wider one. */
const REACHES = [5, 16] as const;
const FEWEST = 6;
/** Variance of a colour, in squared 8-bit codes, that even a plain surface has. */
const LEAST_VARIANCE = 16;
/** One pixel's say is limited, so that a glint or a speck does not outvote its neighbours. */
const MOST_SAY = 12;
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
  const window = grown(region, coarse, BAND + REACHES[0] + 1);
  const undecided = bandOf(window, BAND);
  const sides = localColours(window, undecided, coarse, other);
  const [left, top] = [window.left * ratio, window.top * ratio];
  const width = Math.min(window.width * ratio, fine.width - left);
  const height = Math.min(window.height * ratio, fine.height - top);
  const say = sayOf(window, undecided, sides, fine, { left, top, width, height, ratio });
  const mask = new Uint8Array(width * height);
  const counts = new Uint16Array(window.mask.length);
  for (let v = 0, cell = 0; v < window.height; v++) {
    const [y0, y1] = [v * ratio, Math.min(height, (v + 1) * ratio)];
    for (let u = 0; u < window.width; u++, cell++) {
      const [x0, x1] = [u * ratio, Math.min(width, (u + 1) * ratio)];
      if (undecided[cell] === 0) {
        if (window.mask[cell] === 0) continue;
        counts[cell] = ratio * ratio;
        for (let y = y0; y < y1; y++) mask.fill(1, y * width + x0, y * width + x1);
        continue;
      }
      for (let y = y0; y < y1; y++) {
        for (let x = x0; x < x1; x++) {
          if (around(say, x, y, width, height) <= 0) continue;
          mask[y * width + x] = 1;
          counts[cell]++;
        }
      }
    }
  }
  const again = counts.map((count) => (count >= INSIDE * ratio * ratio ? 1 : 0));
  const finer = { left, top, width, height, mask };
  if (!goesOn(window, undecided, again)) return { fine: finer };
  return { fine: finer, again: { ...window, mask: Uint8Array.from(again) } };
}

interface FineWindow {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly ratio: number;
}

/** How much likelier (logarithm, limited) each pixel of the band is of the inside; by its cell's side next to the band. */
function sayOf(
  window: Region,
  undecided: Uint8Array,
  sides: Sides,
  { rgba, width: pictureWidth }: Pixels,
  { left, top, width, height, ratio }: FineWindow,
): Float32Array {
  const say = new Float32Array(width * height);
  const near = bandOf({ ...window, mask: undecided }, 1);
  for (let v = 0, cell = 0; v < window.height; v++) {
    const [y0, y1] = [v * ratio, Math.min(height, (v + 1) * ratio)];
    for (let u = 0; u < window.width; u++, cell++) {
      if (undecided[cell] === 0 && near[cell] === 0) continue;
      const [x0, x1] = [u * ratio, Math.min(width, (u + 1) * ratio)];
      const index = sides.index[cell];
      for (let y = y0; y < y1; y++) {
        let pixel = 4 * ((top + y) * pictureWidth + left + x0);
        for (let x = x0; x < x1; x++, pixel += 4) {
          say[y * width + x] =
            undecided[cell] === 0
              ? (2 * window.mask[cell] - 1) * MOST_SAY
              : likelier(sides, index, rgba, pixel);
        }
      }
    }
  }
  return say;
}

/** Local colours of both sides at the cells of the band: `index` leads from a cell to its place in the lists. */
interface Sides {
  readonly index: Int32Array;
  readonly inside: Colours;
  readonly outside: Colours;
}

/** Mean and variance of three channels, one after the other. */
interface Colours {
  readonly mean: Float32Array;
  readonly variance: Float32Array;
}

function likelier({ inside, outside }: Sides, index: number, rgba: Uint8ClampedArray, pixel: number): number {
  let sum = 0;
  for (let c = 0, k = 3 * index; c < 3; c++, k++) {
    const value = rgba[pixel + c];
    const [vi, vo] = [inside.variance[k], outside.variance[k]];
    const [di, dout] = [value - inside.mean[k], value - outside.mean[k]];
    sum += (dout * dout) / vo - (di * di) / vi + Math.log(vo / vi);
  }
  return Math.max(-MOST_SAY, Math.min(MOST_SAY, sum / 2));
}

function around(say: Float32Array, x: number, y: number, width: number, height: number): number {
  const [x0, x1] = [x > 0 ? x - 1 : 0, x + 1 < width ? x + 1 : x];
  const [y0, y1] = [y > 0 ? y - 1 : 0, y + 1 < height ? y + 1 : y];
  let sum = 0;
  for (let b = y0; b <= y1; b++) for (let a = x0; a <= x1; a++) sum += say[b * width + a];
  return sum;
}

/** Whether a cell changed sides next to one that was not decided anew and keeps the side that it left. */
function goesOn({ width, height, mask }: Region, undecided: Uint8Array, again: ArrayLike<number>): boolean {
  for (let y = 1; y + 1 < height; y++) {
    for (let x = 1; x + 1 < width; x++) {
      const i = y * width + x;
      if (again[i] === mask[i]) continue;
      for (const j of [
        i - 1,
        i + 1,
        i - width,
        i + width,
        i - width - 1,
        i - width + 1,
        i + width - 1,
        i + width + 1,
      ]) {
        if (undecided[j] === 0 && mask[j] === mask[i]) return true;
      }
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
  const mask = new Uint8Array(width * height);
  for (let y = 0; y < region.height; y++) {
    const from = y * region.width;
    const to = (y + region.top - top) * width + region.left - left;
    mask.set(region.mask.subarray(from, from + region.width), to);
  }
  return { left, top, width, height, mask };
}

/** 1 where cells of both sides lie within `reach` cells. */
function bandOf({ width, height, mask }: Region, reach: number): Uint8Array {
  const sums = integral(mask, width, height);
  const band = new Uint8Array(mask.length);
  for (let y = 0, i = 0; y < height; y++) {
    const [y0, y1] = [Math.max(0, y - reach), Math.min(height, y + reach + 1)];
    for (let x = 0; x < width; x++, i++) {
      const [x0, x1] = [Math.max(0, x - reach), Math.min(width, x + reach + 1)];
      const sum = boxSum(sums, width, x0, x1, y0, y1);
      band[i] = sum > 0 && sum < (x1 - x0) * (y1 - y0) ? 1 : 0;
    }
  }
  return band;
}

function localColours(
  region: Region,
  band: Uint8Array,
  picture: Pixels,
  other: Uint8Array | undefined,
): Sides {
  const { width, height, mask, left, top } = region;
  const index = new Int32Array(mask.length).fill(-1);
  let count = 0;
  for (let i = 0; i < mask.length; i++) if (band[i] === 1) index[i] = count++;
  // The boundary may be out by a cell: cells that touch it say nothing.
  const mixed = bandOf(region, 1);
  const [sureIn, sureOut] = [new Uint8Array(mask.length), new Uint8Array(mask.length)];
  const anyOut = new Uint8Array(mask.length);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      anyOut[i] = 1 - mask[i];
      if (mixed[i] === 1) continue;
      if (mask[i] === 1) sureIn[i] = 1;
      else if (other === undefined || other[(top + y) * picture.width + left + x] === 0) sureOut[i] = 1;
    }
  }
  return {
    index,
    inside: coloursOf(sureIn, mask, region, index, count, picture),
    outside: coloursOf(sureOut, anyOut, region, index, count, picture),
  };
}

/** Local colours of the cells with `on` 1; where there are too few far and wide, of those with `instead` 1. */
function coloursOf(
  on: Uint8Array,
  instead: Uint8Array,
  region: Region,
  index: Int32Array,
  count: number,
  picture: Pixels,
): Colours {
  const { width, height } = region;
  const mean = new Float32Array(3 * count);
  const variance = new Float32Array(3 * count);
  const first = sumsOf(on, region, picture);
  let second: Sums | undefined;
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i++) {
      const k = index[i];
      if (k < 0) continue;
      if (tell(first, x, y, REACHES[0], k) || tell(first, x, y, REACHES[1], k)) continue;
      second ??= sumsOf(instead, region, picture);
      if (!tell(second, x, y, REACHES[1], k)) tell(second, x, y, Math.max(width, height), k);
    }
  }
  return { mean, variance };

  function tell({ n, values, squares }: Sums, x: number, y: number, reach: number, k: number): boolean {
    const [x0, x1] = [Math.max(0, x - reach), Math.min(width, x + reach + 1)];
    const [y0, y1] = [Math.max(0, y - reach), Math.min(height, y + reach + 1)];
    const cells = boxSum(n, width, x0, x1, y0, y1);
    if (cells < FEWEST) return false;
    for (let c = 0; c < 3; c++) {
      const m = boxSum(values[c], width, x0, x1, y0, y1) / cells;
      const s = boxSum(squares[c], width, x0, x1, y0, y1) / cells;
      mean[3 * k + c] = m;
      variance[3 * k + c] = Math.max(0, s - m * m) + LEAST_VARIANCE;
    }
    return true;
  }
}

/** Integral images of a set of cells: their number, their colours and the squares of these. */
interface Sums {
  readonly n: Float64Array;
  readonly values: readonly Float64Array[];
  readonly squares: readonly Float64Array[];
}

function sumsOf(use: Uint8Array, { left, top, width, height }: Region, picture: Pixels): Sums {
  const side = width + 1;
  const size = side * (height + 1);
  const values = [0, 1, 2].map(() => new Float64Array(size));
  const squares = [0, 1, 2].map(() => new Float64Array(size));
  const { rgba } = picture;
  for (let c = 0; c < 3; c++) {
    const [value, square] = [values[c], squares[c]];
    for (let y = 0; y < height; y++) {
      let [row, rowSquare] = [0, 0];
      let pixel = 4 * ((top + y) * picture.width + left) + c;
      for (let x = 0; x < width; x++, pixel += 4) {
        if (use[y * width + x] === 1) {
          row += rgba[pixel];
          rowSquare += rgba[pixel] * rgba[pixel];
        }
        const at = (y + 1) * side + x + 1;
        value[at] = value[at - side] + row;
        square[at] = square[at - side] + rowSquare;
      }
    }
  }
  return { n: integral(use, width, height), values, squares };
}

/** Sums over all cells above and to the left; one row and column more than the grid. */
function integral(values: Uint8Array, width: number, height: number): Float64Array {
  const side = width + 1;
  const sums = new Float64Array(side * (height + 1));
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      row += values[y * width + x];
      const at = (y + 1) * side + x + 1;
      sums[at] = sums[at - side] + row;
    }
  }
  return sums;
}

/** Sum over columns x0 ≤ x < x1 and rows y0 ≤ y < y1. */
function boxSum(sums: Float64Array, width: number, x0: number, x1: number, y0: number, y1: number): number {
  const side = width + 1;
  return sums[y1 * side + x1] - sums[y0 * side + x1] - sums[y1 * side + x0] + sums[y0 * side + x0];
}
