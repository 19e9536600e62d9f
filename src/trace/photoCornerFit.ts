import { solveSymmetric } from '../geometry/leastSquares.ts';
import { maskInside, maskOfBands, type PlaneGrid, type RingBands } from '../geometry/polygonMask.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

/** A stretch of a ring that cuts a corner, and where the corner may be. */
export interface CutCorner {
  /** The ring's own points from one side over the corner to the other, in order. */
  readonly cut: readonly Pair[];
  /** The same with the sides on which colours are read. */
  readonly around: readonly Pair[];
  /** Where the ring turns now, and where its sides meet. */
  readonly now: Pair;
  readonly meet: Pair;
}

/** What the picture says of a corner. */
export interface CornerFit {
  /** Share of the way to where the sides meet; 0 where the ring as it is agrees as well. */
  readonly share: number;
  /** Pixels beyond it that are not of the backdrop: another facet may go on there. */
  readonly foreign: number;
}

export type Pair = readonly [number, number];

/** Pixels this near to the corner are compared, beyond what blur spreads, pixels. */
const COMPARED = 2;
/** Colours are read at least and at most so far from the edge, pixels. */
const [CLEAR, READ] = [2.5, 9];
const FEWEST = 20;
/** Least contrast, in standard deviations of what the two sides vary by themselves. */
const CONTRAST = 5;
/** Variance of linear light that even a plain side has. */
const LEAST_VARIANCE = 2e-6;
/** Shares of the way to where the sides meet for which the picture is foretold: a parabola goes through three. */
const SHARES = [0, 0.5, 1] as const;
/** Farther than this share of the way no corner is believed. */
const MOST = 1.25;
/** The stone at the corner may be so much darker or lighter than on the whole: another facet. */
const [DARKEST, LIGHTEST] = [0.5, 1.5];
/** Outside the piece less than this of it is to be seen; more than this, and than so many deviations, is not of the backdrop. */
const BLANK = 0.05;
const [FOREIGN, FOREIGN_NOISES] = [0.08, 4];
/** A pixel's cover is believed to be between none and all but for so many deviations of its noise. */
const NOISES = 2;
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

interface Window {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

function windowOf(points: readonly Pair[], picture: Pixels, rim: number): Window {
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const left = Math.max(0, Math.floor(Math.min(...xs)) - rim);
  const top = Math.max(0, Math.floor(Math.min(...ys)) - rim);
  const width = Math.min(picture.width, Math.ceil(Math.max(...xs)) + rim + 1) - left;
  const height = Math.min(picture.height, Math.ceil(Math.max(...ys)) + rim + 1) - top;
  return { left, top, width: Math.max(0, width), height: Math.max(0, height) };
}

/** 1 at the cells of a window within `reach` of some points. */
function nearTo({ left, top, width, height }: Window, points: readonly Pair[], reach: number): Uint8Array {
  const near = new Uint8Array(width * height);
  const square = reach * reach;
  for (const point of points) {
    const x = point[0] - left;
    const y = point[1] - top;
    const first = Math.max(0, Math.ceil(x - reach));
    const last = Math.min(width - 1, Math.floor(x + reach));
    const lowest = Math.min(height - 1, Math.floor(y + reach));
    for (let v = Math.max(0, Math.ceil(y - reach)); v <= lowest; v++) {
      const rest = square - (v - y) * (v - y);
      for (let u = first; u <= last; u++) if ((u - x) * (u - x) <= rest) near[v * width + u] = 1;
    }
  }
  return near;
}

/** Places of the cells that are marked. */
function placesOf(marks: Uint8Array): Uint32Array {
  const places = new Uint32Array(marks.length);
  let count = 0;
  for (let i = 0; i < marks.length; i++) if (marks[i] === 1) places[count++] = i;
  return places.slice(0, count);
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

/** Tells how much of the piece a light shows, along the direction of colour that tells its two sides apart best. */
interface Cover {
  /** Light of what shows nothing of it, and weights of the differences from it, three channels each. */
  readonly none: Float64Array;
  readonly weights: Float64Array;
  /** Standard deviation of a share. */
  readonly noise: number;
}

/** By the colours to either side of the corner; undefined where they can't be told apart. */
function coverOf(ring: RingBands, { around, cut, meet }: CutCorner, picture: Pixels): Cover | undefined {
  const window = windowOf([...cut, meet], picture, READ);
  const { left, top, width, height } = window;
  const inside = maskOfBands(ring, { x0: left, y0: top, cell: 1, columns: width, rows: height });
  const read = nearTo(window, [...cut, meet], READ);
  const mixed = nearTo(window, [...around, meet], CLEAR);
  const sides = [0, 1].map((side) => clearPlaces(read, mixed, inside, side));
  if (Math.min(sides[0].length, sides[1].length) < FEWEST) return undefined;
  return coverBy(lightsOf(picture, window, sides[0]), lightsOf(picture, window, sides[1]));
}

/** Places of the cells that are read, not mixed, and on one side. */
function clearPlaces(read: Uint8Array, mixed: Uint8Array, inside: Uint8Array, side: number): Uint32Array {
  const clear = new Uint8Array(read.length);
  for (let i = 0; i < clear.length; i++) if (read[i] > mixed[i] && inside[i] === side) clear[i] = 1;
  return placesOf(clear);
}

/** Linear light of some cells of a window, three channels each. */
function lightsOf({ rgba, width }: Pixels, window: Window, cells: Uint32Array): Float64Array {
  const lights = new Float64Array(3 * cells.length);
  for (let i = 0; i < cells.length; i++) {
    const v = Math.floor(cells[i] / window.width);
    const k = 4 * ((window.top + v) * width + window.left + cells[i] - v * window.width);
    for (let c = 0; c < 3; c++) lights[3 * i + c] = linearOf(rgba[k + c]);
  }
  return lights;
}

/** From lights outside and inside of the piece. */
function coverBy(outside: Float64Array, inside: Float64Array): Cover | undefined {
  const none = meanOf(outside);
  const all = meanOf(inside);
  const spread = new Float64Array(9);
  addSpread(spread, outside, none);
  addSpread(spread, inside, all);
  for (let c = 0; c < 9; c += 4) spread[c] += LEAST_VARIANCE;
  const difference = all.map((v, c) => v - none[c]);
  const weights = solveSymmetric(spread, difference.slice());
  if (weights === undefined) return undefined;
  const contrast = difference[0] * weights[0] + difference[1] * weights[1] + difference[2] * weights[2];
  if (!(contrast > CONTRAST * CONTRAST)) return undefined;
  return { none, weights: weights.map((weight) => weight / contrast), noise: 1 / Math.sqrt(contrast) };
}

function meanOf(lights: Float64Array): Float64Array {
  const mean = new Float64Array(3);
  for (let i = 0; i < lights.length; i++) mean[i % 3] += lights[i];
  return mean.map((sum) => (3 * sum) / lights.length);
}

/** Adds half the covariance of the channels of some lights, 3 × 3. */
function addSpread(spread: Float64Array, lights: Float64Array, mean: Float64Array): void {
  const share = 3 / lights.length / 2;
  for (let i = 0; i < lights.length; i += 3) {
    for (let r = 0; r < 3; r++) {
      for (let c = 0; c < 3; c++) {
        spread[3 * r + c] += (lights[i + r] - mean[r]) * (lights[i + c] - mean[c]) * share;
      }
    }
  }
}

/** How much of the piece lights show: 0…1, but for some noise. */
function sharesOf(lights: Float64Array, { none, weights, noise }: Cover): Float64Array {
  const slack = NOISES * noise;
  const shares = new Float64Array(lights.length / 3);
  for (let i = 0, k = 0; i < shares.length; i++, k += 3) {
    const share =
      (lights[k] - none[0]) * weights[0] +
      (lights[k + 1] - none[1]) * weights[1] +
      (lights[k + 2] - none[2]) * weights[2];
    shares[i] = Math.min(1 + slack, Math.max(-slack, share));
  }
  return shares;
}
