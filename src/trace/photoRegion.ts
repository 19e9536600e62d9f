import type { Pixels } from '../intake/photoTypes.ts';

/** A rectangle of cells with 1 inside a piece; cell (0, 0) of it is cell (left, top) of the picture. */
export interface Region {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly mask: Uint8Array;
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

/**
 * Draws a coarse region again on finer pixels: within a few coarse cells of its boundary every pixel goes to the side
 * whose colours near by it is likelier to be of (normal distributions, each 3 × 3 pixels together). `ratio` fine
 * pixels make the side of a coarse one. `excluded` (coarse, whole picture) marks cells that say nothing of the outside.
 */
export function finerRegion(
  region: Region,
  coarse: Pixels,
  fine: Pixels,
  ratio: number,
  other: Uint8Array,
): Region {
  const window = grown(region, coarse, BAND + REACHES[0] + 1);
  const sides = localColours(window, coarse, other);
  const left = window.left * ratio;
  const top = window.top * ratio;
  const width = Math.min(window.width * ratio, fine.width - left);
  const height = Math.min(window.height * ratio, fine.height - top);
  const undecided = bandOf(window, BAND);
  const say = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    const row = Math.floor(y / ratio) * window.width;
    for (let x = 0; x < width; x++) {
      const cell = row + Math.floor(x / ratio);
      const at = y * width + x;
      if (undecided[cell] === 0) say[at] = window.mask[cell] === 1 ? MOST_SAY : -MOST_SAY;
      else say[at] = likelier(sides, cell, fine.rgba, 4 * ((top + y) * fine.width + left + x));
    }
  }
  const mask = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const row = Math.floor(y / ratio) * window.width;
    for (let x = 0; x < width; x++) {
      const cell = row + Math.floor(x / ratio);
      const at = y * width + x;
      mask[at] = undecided[cell] === 0 ? window.mask[cell] : around(say, x, y, width, height) > 0 ? 1 : 0;
    }
  }
  return { left, top, width, height, mask };
}

/** Share of a coarse cell that must be inside for the cell to count: less than half, so that thin tips stay. */
const INSIDE = 0.3;

/** The region on cells of `ratio` × `ratio` of its own. */
export function coarserRegion({ left, top, width, height, mask }: Region, ratio: number): Region {
  const [u0, v0] = [Math.floor(left / ratio), Math.floor(top / ratio)];
  const columns = Math.floor((left + width - 1) / ratio) - u0 + 1;
  const rows = Math.floor((top + height - 1) / ratio) - v0 + 1;
  const counts = new Uint16Array(columns * rows);
  for (let y = 0; y < height; y++) {
    const row = (Math.floor((top + y) / ratio) - v0) * columns;
    for (let x = 0; x < width; x++) {
      counts[row + Math.floor((left + x) / ratio) - u0] += mask[y * width + x];
    }
  }
  const coarse = Uint8Array.from(counts, (count) => (count >= INSIDE * ratio * ratio ? 1 : 0));
  return { left: u0, top: v0, width: columns, height: rows, mask: coarse };
}

export function sameRegion(a: Region, b: Region): boolean {
  return (
    a.left === b.left &&
    a.top === b.top &&
    a.width === b.width &&
    a.height === b.height &&
    a.mask.every((on, i) => on === b.mask[i])
  );
}

/** Mean and variance of three channels, per cell of a window. */
interface Colours {
  readonly mean: Float32Array;
  readonly variance: Float32Array;
}
interface Sides {
  readonly inside: Colours;
  readonly outside: Colours;
}

/** How much likelier (logarithm, limited) a pixel is of the inside than of the outside. */
function likelier({ inside, outside }: Sides, cell: number, rgba: Uint8ClampedArray, pixel: number): number {
  let sum = 0;
  for (let c = 0, k = 3 * cell; c < 3; c++, k++) {
    const value = rgba[pixel + c];
    const [vi, vo] = [inside.variance[k], outside.variance[k]];
    sum += (value - outside.mean[k]) ** 2 / vo - (value - inside.mean[k]) ** 2 / vi + Math.log(vo / vi);
  }
  return Math.max(-MOST_SAY, Math.min(MOST_SAY, sum / 2));
}

function around(say: Float32Array, x: number, y: number, width: number, height: number): number {
  let sum = 0;
  for (let b = Math.max(0, y - 1); b <= Math.min(height - 1, y + 1); b++) {
    for (let a = Math.max(0, x - 1); a <= Math.min(width - 1, x + 1); a++) sum += say[b * width + a];
  }
  return sum;
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
function bandOf(region: Region, reach: number): Uint8Array {
  const { width, height, mask } = region;
  const sums = integral(mask, width, height);
  return Uint8Array.from(mask, (_, i) => {
    const { sum, count } = boxSum(sums, i % width, Math.floor(i / width), reach, width, height);
    return sum > 0 && sum < count ? 1 : 0;
  });
}

function localColours(region: Region, picture: Pixels, other: Uint8Array): Sides {
  const { width, mask, left, top } = region;
  // The boundary may be out by a cell: cells that touch it say nothing.
  const mixed = bandOf(region, 1);
  const usable = (side: number) =>
    Uint8Array.from(mask, (on, i) => {
      const at = (top + Math.floor(i / width)) * picture.width + left + (i % width);
      return on === side && mixed[i] === 0 && (side === 1 || other[at] === 0) ? 1 : 0;
    });
  return {
    inside: coloursOf(usable(1), region, picture, mask),
    outside: coloursOf(
      usable(0),
      region,
      picture,
      Uint8Array.from(mask, (on) => 1 - on),
    ),
  };
}

/** Local colours of the cells with `on` 1; where there are none far and wide, of those with `instead` 1. */
function coloursOf(on: Uint8Array, region: Region, picture: Pixels, instead: Uint8Array): Colours {
  const { width, height, left, top } = region;
  const count = width * height;
  const tables = [on, instead].map((use) => {
    const n = integral(use, width, height);
    const sums: Float64Array[] = [];
    for (let c = 0; c < 3; c++) {
      const value = new Float64Array(count);
      const square = new Float64Array(count);
      for (let i = 0; i < count; i++) {
        if (use[i] === 0) continue;
        const at = (top + Math.floor(i / width)) * picture.width + left + (i % width);
        const code = picture.rgba[4 * at + c];
        value[i] = code;
        square[i] = code * code;
      }
      sums.push(integral(value, width, height), integral(square, width, height));
    }
    return { n, sums };
  });
  const mean = new Float32Array(3 * count);
  const variance = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) {
    const [x, y] = [i % width, Math.floor(i / width)];
    const tried = [
      [tables[0], REACHES[0]],
      [tables[0], REACHES[1]],
      [tables[1], REACHES[1]],
      [tables[1], Math.max(width, height)],
    ] as const;
    for (const [{ n, sums }, reach] of tried) {
      const cells = boxSum(n, x, y, reach, width, height).sum;
      if (cells < FEWEST) continue;
      for (let c = 0; c < 3; c++) {
        const m = boxSum(sums[2 * c], x, y, reach, width, height).sum / cells;
        const s = boxSum(sums[2 * c + 1], x, y, reach, width, height).sum / cells;
        mean[3 * i + c] = m;
        variance[3 * i + c] = Math.max(0, s - m * m) + LEAST_VARIANCE;
      }
      break;
    }
  }
  return { mean, variance };
}

/** Sums over all cells above and to the left; one row and column more than the grid. */
function integral(values: ArrayLike<number>, width: number, height: number): Float64Array {
  const sums = new Float64Array((width + 1) * (height + 1));
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      row += values[y * width + x];
      sums[(y + 1) * (width + 1) + x + 1] = sums[y * (width + 1) + x + 1] + row;
    }
  }
  return sums;
}

function boxSum(sums: Float64Array, x: number, y: number, reach: number, width: number, height: number) {
  const [x0, x1] = [Math.max(0, x - reach), Math.min(width, x + reach + 1)];
  const [y0, y1] = [Math.max(0, y - reach), Math.min(height, y + reach + 1)];
  const side = width + 1;
  const sum = sums[y1 * side + x1] - sums[y0 * side + x1] - sums[y1 * side + x0] + sums[y0 * side + x0];
  return { sum, count: (x1 - x0) * (y1 - y0) };
}
