import { maskInside, maskOfBands, type PlaneGrid, type RingBands } from '../geometry/polygonMask.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { coverOf, sharesOf } from './photoCornerCover.ts';
import {
  type CutCorner,
  lightsOf,
  nearTo,
  type Pair,
  placesOf,
  type Window,
  windowOf,
} from './photoCornerWindow.ts';

/** What the picture says of a corner. */
export interface CornerFit {
  /** Share of the way to where the sides meet; 0 where the ring as it is agrees as well. */
  readonly share: number;
  /** Pixels beyond it that are not of the backdrop: another facet may go on there. */
  readonly foreign: number;
}

/** Pixels this near to the corner are compared, beyond what blur spreads, pixels. */
const COMPARED = 2;
/** Shares of the way to where the sides meet for which the picture is foretold: a parabola goes through three. */
const SHARES = [0, 0.5, 1] as const;
/** Farther than this share of the way no corner is believed. */
const MOST = 1.25;
/** The stone at the corner may be so much darker or lighter than on the whole: another facet. */
const [DARKEST, LIGHTEST] = [0.5, 1.5];
/** Outside the piece less than this of it is to be seen; more than this, and than so many deviations, is not of the backdrop. */
const BLANK = 0.05;
const [FOREIGN, FOREIGN_NOISES] = [0.08, 4];
/** Parts of a pixel along its side for which cover is counted; blurred by more pixels than SMOOTHED, whole pixels do. */
const PARTS = 4;
const SMOOTHED = 2;
/** Variance of a pixel's own width, which counting cover holds already. */
const PIXEL = 1 / 12;

/**
 * How far along the way from where a ring turns to where its sides meet the corner is, as a share: the picture is
 * foretold for three such shares, with its blur, and the share is taken at which it would differ least (least squares).
 * Undefined where its two sides can't be told apart.
 *
 * @param blur standard deviation of the bell over the picture's edges, pixels
 */
export function fitCorner(
  ring: RingBands,
  corner: CutCorner,
  picture: Pixels,
  blur: number,
): CornerFit | undefined {
  const cover = coverOf(ring, corner, picture);
  if (cover === undefined) return undefined;
  const bell = bellOf(Math.sqrt(Math.max(0.01, blur * blur - PIXEL)));
  const reach = COMPARED + bell.length / 4;
  const window = windowOf([...corner.cut, corner.meet], picture, Math.ceil(reach) + (bell.length >> 1));
  const near = placesOf(nearTo(window, [...corner.cut, corner.meet], reach));
  const seen = sharesOf(lightsOf(picture, window, near), cover);
  const parts = blur > SMOOTHED ? 1 : PARTS;
  const mask = maskOfBands(ring, finely(window, parts));
  const cells = coverIn(mask, window, parts);
  const now = blurredAt(near, cells, window, bell);
  // Blurring adds up: only what a corner changes is blurred for each.
  const models = SHARES.map((share) => {
    const changed = coverIn(withCorner(mask, window, corner, share, parts), window, parts);
    return plus(now, blurredAt(near, less(changed, cells), window, bell));
  });
  const misfits = models.map((model) => misfit(seen, model));
  const least = Math.min(...misfits);
  const better = least < misfit(seen, now);
  const model = better ? models[misfits.indexOf(least)] : now;
  const foreign = foreignCells(seen, model, Math.max(FOREIGN, FOREIGN_NOISES * cover.noise));
  return { share: better ? leastOf(misfits) : 0, foreign };
}

function plus(a: Float64Array, b: Float64Array): Float64Array {
  const sum = new Float64Array(a.length);
  for (let k = 0; k < sum.length; k++) sum[k] = a[k] + b[k];
  return sum;
}

function less(a: Float64Array, b: Float64Array): Float64Array {
  const difference = new Float64Array(a.length);
  for (let k = 0; k < difference.length; k++) difference[k] = a[k] - b[k];
  return difference;
}

/** How many cells outside the piece show more of what is no backdrop than `least`. */
function foreignCells(seen: Float64Array, model: Float64Array, least: number): number {
  let count = 0;
  for (let k = 0; k < seen.length; k++) if (model[k] < BLANK && seen[k] - model[k] > least) count++;
  return count;
}

/** Where the parabola through three misfits is least, within bounds. */
function leastOf([none, half, all]: readonly number[]): number {
  const bend = 2 * (none - 2 * half + all);
  const slope = all - none - bend;
  if (!(bend > 0)) return all < none ? 1 : 0;
  return Math.min(MOST, Math.max(0, -slope / (2 * bend)));
}

/** Sum of squares by which a picture differs from the foretold one, made lighter or darker as a whole to fit best. */
function misfit(seen: Float64Array, model: Float64Array): number {
  let both = 0;
  let own = 0;
  for (let k = 0; k < seen.length; k++) {
    both += seen[k] * model[k];
    own += model[k] * model[k];
  }
  const level = Math.min(LIGHTEST, Math.max(DARKEST, both / own));
  let sum = 0;
  for (let k = 0; k < seen.length; k++) {
    const off = seen[k] - level * model[k];
    sum += off * off;
  }
  return sum;
}

/** The parts of a window's pixels. */
function finely({ left, top, width, height }: Window, parts: number): PlaneGrid {
  const [first, cell] = [0.5 / parts - 0.5, 1 / parts];
  return { x0: left + first, y0: top + first, cell, columns: width * parts, rows: height * parts };
}

/** The same with straight sides to a corner at a share of the way: what lies between these and the ring changes sides. */
function withCorner(
  mask: Uint8Array,
  window: Window,
  corner: CutCorner,
  share: number,
  parts: number,
): Uint8Array {
  const { cut, now, meet } = corner;
  const end: Pair = [now[0] + share * (meet[0] - now[0]), now[1] + share * (meet[1] - now[1])];
  const changed = maskInside([Float64Array.from([...cut, end].flat())], finely(window, parts));
  for (let i = 0; i < mask.length; i++) changed[i] ^= mask[i];
  return changed;
}

/** Share of each pixel of a window that is inside. */
function coverIn(inside: Uint8Array, { width, height }: Window, parts: number): Float64Array {
  const cover = new Float64Array(width * height);
  const part = 1 / (parts * parts);
  for (let row = 0, i = 0; row < height * parts; row++) {
    const to = Math.floor(row / parts) * width;
    for (let u = 0; u < width; u++) {
      for (let k = 0; k < parts; k++) cover[to + u] += inside[i++] * part;
    }
  }
  return cover;
}

/** Weights of a bell of standard deviation `sigma` pixels, cut off where it is under a twentieth of its height. */
function bellOf(sigma: number): Float64Array {
  const reach = Math.max(1, Math.ceil(2.5 * sigma));
  const raw = Float64Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-((k - reach) ** 2) / (2 * sigma * sigma)),
  );
  const sum = raw.reduce((a, b) => a + b, 0);
  return raw.map((w) => w / sum);
}

/** Some cells of a window that is blurred along rows and columns; beyond its rim it is empty, which is farther off than is compared. */
function blurredAt(
  chosen: Uint32Array,
  cells: Float64Array,
  { width, height }: Window,
  bell: Float64Array,
): Float64Array {
  const reach = bell.length >> 1;
  const across = new Float64Array(cells.length);
  // Beyond the rows and columns that hold something everything stays empty.
  let [left, right, top, bottom] = [width, -1, height, -1];
  for (let v = 0; v < height; v++) {
    const from = firstOf(cells, v * width, (v + 1) * width);
    if (from < 0) continue;
    const first = Math.max(0, from - v * width - reach);
    const last = Math.min(width - 1, lastOf(cells, from, (v + 1) * width) - v * width + reach);
    blurRow(cells, v * width, width, first, last, bell, across);
    left = Math.min(left, first);
    right = Math.max(right, last);
    top = Math.min(top, v);
    bottom = v;
  }
  const out = new Float64Array(chosen.length);
  for (let k = 0; k < chosen.length; k++) {
    const v = Math.floor(chosen[k] / width);
    const u = chosen[k] - v * width;
    if (u < left || u > right) continue;
    const first = Math.max(-reach, top - v);
    const last = Math.min(reach, bottom - v);
    let at = chosen[k] + first * width;
    let sum = 0;
    for (let row = first; row <= last; row++, at += width) sum += bell[row + reach] * across[at];
    out[k] = sum;
  }
  return out;
}

/** Place of the first cell that holds something; −1 of none. */
function firstOf(cells: Float64Array, from: number, to: number): number {
  for (let i = from; i < to; i++) if (cells[i] !== 0) return i;
  return -1;
}

/** Place of the last one; the first holds something. */
function lastOf(cells: Float64Array, first: number, to: number): number {
  let i = to - 1;
  while (i > first && cells[i] === 0) i--;
  return i;
}

/** Blurs the places `left` … `right` of a row of `count` cells. */
function blurRow(
  cells: Float64Array,
  from: number,
  count: number,
  left: number,
  right: number,
  bell: Float64Array,
  out: Float64Array,
): void {
  const reach = bell.length >> 1;
  for (let i = left; i <= right; i++) {
    const first = Math.max(-reach, -i);
    const last = Math.min(reach, count - 1 - i);
    let sum = 0;
    for (let k = first; k <= last; k++) sum += bell[k + reach] * cells[from + i + k];
    out[from + i] = sum;
  }
}
