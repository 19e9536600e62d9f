import { solveSymmetric } from '../geometry/leastSquares.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import type { Points2 } from '../geometry/types.ts';
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
  ring: Points2,
  corner: CutCorner,
  picture: Pixels,
  blur: number,
): CornerFit | undefined {
  const colours = coverOf(ring, corner, picture);
  if (colours === undefined) return undefined;
  const { cover, noise } = colours;
  const bell = bellOf(Math.sqrt(Math.max(0.01, blur * blur - PIXEL)));
  const reach = COMPARED + bell.length / 4;
  const window = windowOf([...corner.cut, corner.meet], picture, Math.ceil(reach) + (bell.length >> 1));
  const near = nearCells(window, [...corner.cut, corner.meet], reach);
  const seen = Float64Array.from(near, (cell) => cover(window, cell));
  const parts = blur > SMOOTHED ? 1 : PARTS;
  const mask = finely(ring, window, parts);
  const shown = (inside: Uint8Array): Float64Array => {
    return blurredAt(near, coverIn(inside, window, parts), window, bell);
  };
  const models = SHARES.map((share) => shown(withCorner(mask, window, corner, share, parts)));
  const misfits = models.map((model) => misfit(seen, model));
  const now = shown(mask);
  const least = Math.min(...misfits);
  const better = least < misfit(seen, now);
  const model = better ? models[misfits.indexOf(least)] : now;
  const foreign = foreignCells(seen, model, Math.max(FOREIGN, FOREIGN_NOISES * noise));
  return { share: better ? leastOf(misfits) : 0, foreign };
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

/** Places in a window of the cells within `reach` of some points. */
function nearCells(
  { left, top, width, height }: Window,
  points: readonly Pair[],
  reach: number,
): Uint32Array {
  const flat = Float64Array.from(points.flat());
  const cells: number[] = [];
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i++) if (nearest(flat, left + u, top + v) <= reach) cells.push(i);
  }
  return Uint32Array.from(cells);
}

/** 1 in the parts of a window's pixels that lie within a ring (even-odd). */
function finely(ring: Points2, { left, top, width, height }: Window, parts: number): Uint8Array {
  const [first, cell] = [0.5 / parts - 0.5, 1 / parts];
  const [columns, rows] = [width * parts, height * parts];
  return maskInside([ring], { x0: left + first, y0: top + first, cell, columns, rows });
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
  const changed = finely(Float64Array.from([...cut, end].flat()), window, parts);
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
  const across = new Float64Array(cells.length);
  for (let v = 0; v < height; v++) blurLine(cells, v * width, 1, width, bell, across);
  const reach = bell.length >> 1;
  const out = new Float64Array(chosen.length);
  for (let k = 0; k < chosen.length; k++) {
    const v = Math.floor(chosen[k] / width);
    const u = chosen[k] - v * width;
    let sum = 0;
    for (let row = Math.max(0, v - reach); row <= Math.min(height - 1, v + reach); row++) {
      sum += bell[row - v + reach] * across[row * width + u];
    }
    out[k] = sum;
  }
  return out;
}

function blurLine(
  cells: Float64Array,
  first: number,
  step: number,
  count: number,
  bell: Float64Array,
  out: Float64Array,
): void {
  const reach = bell.length >> 1;
  for (let i = 0; i < count; i++) {
    let sum = 0;
    for (let k = Math.max(0, i - reach); k <= Math.min(count - 1, i + reach); k++) {
      sum += bell[k - i + reach] * cells[first + step * k];
    }
    out[first + step * i] = sum;
  }
}

/** Distance to the nearest of some points (x y pairs). */
function nearest(points: Float64Array, x: number, y: number): number {
  let least = Infinity;
  for (let i = 0; i < points.length; i += 2) {
    const dx = points[i] - x;
    const dy = points[i + 1] - y;
    least = Math.min(least, dx * dx + dy * dy);
  }
  return Math.sqrt(least);
}

type Triple = readonly [number, number, number];

/** Tells how much of the piece a cell of a window shows, from the colours to either side of the corner. */
function coverOf(
  ring: Points2,
  { around, cut, meet }: CutCorner,
  picture: Pixels,
): { readonly cover: (window: Window, cell: number) => number; readonly noise: number } | undefined {
  const window = windowOf([...cut, meet], picture, READ);
  const { left, top, width, height } = window;
  const inside = maskInside([ring], { x0: left, y0: top, cell: 1, columns: width, rows: height });
  const sides: [number[], number[]] = [[], []];
  const cornered = Float64Array.from([...cut, meet].flat());
  const all = Float64Array.from([...around, meet].flat());
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i++) {
      if (nearest(cornered, left + u, top + v) > READ || nearest(all, left + u, top + v) < CLEAR) continue;
      sides[inside[i]].push(i);
    }
  }
  if (Math.min(sides[0].length, sides[1].length) < FEWEST) return undefined;
  const light = ({ left, top, width }: Window, i: number): Triple => {
    const k = 4 * ((top + Math.floor(i / width)) * picture.width + left + (i % width));
    return [linearOf(picture.rgba[k]), linearOf(picture.rgba[k + 1]), linearOf(picture.rgba[k + 2])];
  };
  const [outer, inner] = sides.map((cells) => cells.map((cell) => light(window, cell)));
  const colours = coverBy(outer, inner);
  return colours && { ...colours, cover: (window, cell) => colours.cover(light(window, cell)) };
}

/** How much of the piece a light shows, 0…1, and the standard deviation of that, along the direction of colour that tells its two sides apart best. */
function coverBy(
  outside: readonly Triple[],
  inside: readonly Triple[],
): { readonly cover: (light: Triple) => number; readonly noise: number } | undefined {
  const means = [outside, inside].map((side) =>
    [0, 1, 2].map((c) => side.reduce((sum, light) => sum + light[c], 0) / side.length),
  );
  const spread = new Float64Array(9);
  [outside, inside].forEach((side, s) => {
    for (const light of side) {
      for (let r = 0; r < 3; r++) {
        for (let c = 0; c < 3; c++) {
          spread[3 * r + c] += ((light[r] - means[s][r]) * (light[c] - means[s][c])) / side.length / 2;
        }
      }
    }
  });
  for (let c = 0; c < 9; c += 4) spread[c] += LEAST_VARIANCE;
  const difference = means[1].map((v, c) => v - means[0][c]);
  const weights = solveSymmetric(spread, Float64Array.from(difference));
  if (weights === undefined) return undefined;
  const contrast = difference.reduce((sum, d, c) => sum + d * weights[c], 0);
  if (!(contrast > CONTRAST * CONTRAST)) return undefined;
  const noise = 1 / Math.sqrt(contrast);
  const slack = NOISES * noise;
  const cover = (light: Triple): number => {
    const share = light.reduce((sum, v, c) => sum + (v - means[0][c]) * weights[c], 0) / contrast;
    return Math.min(1 + slack, Math.max(-slack, share));
  };
  return { cover, noise };
}
