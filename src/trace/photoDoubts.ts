import { medianInPlace } from '../geometry/median.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { type WholePixels, wholePixels } from '../intake/scaleLight.ts';

/** Where a picture leaves in doubt that a ring runs along the rim of the piece: shares of the ring, 0…1. */
export interface RimDoubts {
  /** The two sides hardly differ, or both are nearly black. */
  readonly weak: number;
  /** The backdrop next to the ring is unlike the backdrop next to the rest of it nearby: stone of nearly its colour may lie there. */
  readonly odd: number;
  /** The inside has the colour of the backdrop and is only darker, while elsewhere it is of another: a hard shadow may belong to it. */
  readonly dim: number;
  /** 1 at the points of the ring next to which the backdrop is odd. */
  readonly oddAt: Uint8Array;
}

/** Looks at the ring, at most, and points to either side of one that it takes the mean of. */
const LOOKS = 1000;
const MEAN = 2;
/** Distances from the ring at which its sides are read, pixels: past its blur. */
const READ = [3, 4, 5, 6];
/** Sides that differ by less than this many 8-bit codes, or deviations of one pixel's noise, hardly differ. */
const LEAST_CODES = 6;
const LEAST_NOISES = 2.5;
/** Two sides that are both darker than this code (3 % of white) can't be told apart for sure: every lens scatters as much. */
const DARK = 48;
/** Logarithms of colour within which two sides are of one, and from which on they are not; and of how much darker a shadow is. */
const [ALIKE, UNLIKE] = [0.07, 0.15];
const DARKER = 0.4;
/** Darker codes tell no colour. */
const DIMMEST = 30;
/** Share of the ring that must be of another colour for that to tell anything. */
const COLOURED = 0.4;
/** Looks to either side that tell what the backdrop is like: brightness changes with shadows, colour does not. */
const [LIGHT_REACH, COLOUR_REACH] = [25, 120];
/** Deviations from there on which it is odd, and looks in a row for which it must be. */
const ODD = 6;
const RUN = 5;
/** A backdrop's tones vary by at least this between looks (logarithms): a piece's own shadow is thinner about its corners. */
const LEAST_SPREAD = [0.045, 0.008, 0.008] as const;

/** Reads both sides of a ring and compares them with each other and with what lies beside them. */
export function rimDoubts(picture: Pixels, ring: Points2): RimDoubts {
  const n = ring.length / 2;
  const step = Math.max(1, Math.floor(n / LOOKS));
  const count = Math.floor(n / step);
  if (count < 4 * RUN) return { weak: 0, odd: 0, dim: 0, oddAt: new Uint8Array(n) };
  const sides = sidesOf(picture, ring, step, count);
  const { out, within } = sides;
  const least = Math.max(LEAST_CODES, LEAST_NOISES * noiseOf(picture, ring, sides.sign));
  let [weak, dim, coloured] = [0, 0, 0];
  for (let k = 0; k < count; k++) {
    const size = Math.hypot(
      out[3 * k] - within[3 * k],
      out[3 * k + 1] - within[3 * k + 1],
      out[3 * k + 2] - within[3 * k + 2],
    );
    if (size < least || lightest(out, within, 3 * k) < DARK) weak++;
    if (Math.min(within[3 * k], within[3 * k + 1], within[3 * k + 2]) < DIMMEST) continue;
    const light = toneOf(within, 3 * k, 0) - toneOf(out, 3 * k, 0);
    const red = toneOf(within, 3 * k, 1) - toneOf(out, 3 * k, 1);
    const blue = toneOf(within, 3 * k, 2) - toneOf(out, 3 * k, 2);
    const colour = Math.hypot(red, blue);
    if (colour > UNLIKE) coloured++;
    else if (colour < ALIKE && light < -DARKER) dim++;
  }
  const odd = oddLooks(out, count);
  return {
    weak: weak / count,
    odd: odd.reduce((sum, one) => sum + one, 0) / count,
    dim: coloured > COLOURED * count ? dim / count : 0,
    oddAt: Uint8Array.from({ length: n }, (_, i) => odd[Math.min(count - 1, Math.floor(i / step))]),
  };
}

interface Sides {
  /** Mean codes outside and inside, three for each look. */
  readonly out: Float64Array;
  readonly within: Float64Array;
  /** 1 where the left-hand normal of the ring points outward, else −1. */
  readonly sign: number;
}

function sidesOf(picture: Pixels, ring: Points2, step: number, count: number): Sides {
  const n = ring.length / 2;
  let area = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    area += ring[2 * i] * ring[2 * j + 1] - ring[2 * j] * ring[2 * i + 1];
  }
  const sign = area > 0 ? 1 : -1;
  const [out, within] = [new Float64Array(3 * count), new Float64Array(3 * count)];
  const whole = wholePixels(picture);
  for (let k = 0; k < count; k++) {
    for (let m = -MEAN; m <= MEAN; m++)
      addSides(whole, ring, (k * step + m + n) % n, sign, out, within, 3 * k);
  }
  const share = 1 / ((2 * MEAN + 1) * READ.length);
  for (let i = 0; i < 3 * count; i++) {
    out[i] *= share;
    within[i] *= share;
  }
  return { out, within, sign };
}

/** Adds what is read at all distances from one point of the ring. */
function addSides(
  picture: WholePixels,
  ring: Points2,
  point: number,
  sign: number,
  out: Float64Array,
  within: Float64Array,
  to: number,
): void {
  const { x, y, nx, ny } = normalAt(ring, point);
  let r = 0;
  let g = 0;
  let b = 0;
  let red = 0;
  let green = 0;
  let blue = 0;
  for (let k = 0; k < READ.length; k++) {
    const dx = sign * READ[k] * nx;
    const dy = sign * READ[k] * ny;
    // Rounded here, what is below 0 being cut off: whole numbers are handed on as they are.
    const outside = pixelAt(picture, (x + dx + 0.5) | 0, (y + dy + 0.5) | 0);
    r += outside & 255;
    g += (outside >> 8) & 255;
    b += (outside >> 16) & 255;
    const inside = pixelAt(picture, (x - dx + 0.5) | 0, (y - dy + 0.5) | 0);
    red += inside & 255;
    green += (inside >> 8) & 255;
    blue += (inside >> 16) & 255;
  }
  out[to] += r;
  out[to + 1] += g;
  out[to + 2] += b;
  within[to] += red;
  within[to + 1] += green;
  within[to + 2] += blue;
}

/** The codes of a pixel; beyond the picture its rim goes on. */
function pixelAt({ whole, width, height }: WholePixels, x: number, y: number): number {
  return whole[Math.min(height - 1, Math.max(0, y)) * width + Math.min(width - 1, Math.max(0, x))];
}

function normalAt(ring: Points2, i: number): { x: number; y: number; nx: number; ny: number } {
  const n = ring.length / 2;
  const a = (i + n - 3) % n;
  const b = (i + 3) % n;
  const dx = ring[2 * b] - ring[2 * a];
  const dy = ring[2 * b + 1] - ring[2 * a + 1];
  const size = Math.sqrt(dx * dx + dy * dy) || 1;
  return { x: ring[2 * i], y: ring[2 * i + 1], nx: dy / size, ny: -dx / size };
}

/** Standard deviation of one pixel on the outside, in codes, from pixels next to each other. */
function noiseOf(picture: Pixels, ring: Points2, sign: number): number {
  const n = ring.length / 2;
  const differences: number[] = [];
  for (let i = 0; i < n; i += 3) {
    const { x, y, nx, ny } = normalAt(ring, i);
    const u = Math.round(x + 5 * sign * nx);
    const v = Math.round(y + 5 * sign * ny);
    if (u < 0 || v < 0 || u + 1 >= picture.width || v >= picture.height) continue;
    const at = 4 * (v * picture.width + u) + 1;
    differences.push(Math.abs(picture.rgba[at] - picture.rgba[at + 4]));
  }
  return (1.4826 * medianInPlace(Float64Array.from(differences))) / Math.SQRT2;
}

/** The highest code of either side: on red cloth all green is dark. */
function lightest(out: Float64Array, within: Float64Array, at: number): number {
  return Math.max(out[at], out[at + 1], out[at + 2], within[at], within[at + 1], within[at + 2]);
}

/** 1 for the looks at which the outside is unlike that of the looks about it, where there are enough of them in a row. */
function oddLooks(out: Float64Array, count: number): Uint8Array {
  const odd = new Uint8Array(count);
  for (let tone = 0; tone < 3; tone++) {
    const values = Float64Array.from({ length: count }, (_, k) => toneOf(out, 3 * k, tone));
    const reach = Math.min(count >> 2, tone === 0 ? LIGHT_REACH : COLOUR_REACH);
    const apart = Math.max(1, Math.floor(reach / 20));
    const medians = mediansAbout(values, reach, apart);
    const away = values.map((value, k) => value - medians[k]);
    const spread = Math.max(LEAST_SPREAD[tone], 1.4826 * medianInPlace(away.map(Math.abs)));
    for (let k = 0; k < count; k++) if (Math.abs(away[k]) > ODD * spread) odd[k] = 1;
  }
  const runs = new Uint8Array(count);
  let run = 0;
  // On past the first look, for a run over the ring's first point.
  for (let k = 0; k < 2 * count; k++) {
    run = odd[k % count] === 1 ? run + 1 : 0;
    if (run === RUN) for (let m = 0; m < RUN; m++) runs[(k - m) % count] = 1;
    else if (run > RUN) runs[k % count] = 1;
  }
  return runs;
}

/**
 * By place of a closed row of values: the median of those `reach` places to either side and of every so many (`apart`)
 * between. Values that are `apart` places from each other share all but one of theirs: these are kept in order.
 */
function mediansAbout(values: Float64Array, reach: number, apart: number): Float64Array {
  const count = values.length;
  const size = Math.floor((2 * reach) / apart) + 1;
  const medians = new Float64Array(count);
  const near = new Float64Array(size);
  for (let first = 0; first < apart; first++) {
    let oldest = (first - reach + count) % count;
    let newest = oldest;
    for (let m = 0; m < size; m++) {
      near[m] = values[newest];
      newest = (newest + apart) % count;
    }
    near.sort();
    for (let k = first; k < count; k += apart) {
      medians[k] = near[size >> 1];
      exchange(near, values[oldest], values[newest]);
      oldest = (oldest + apart) % count;
      newest = (newest + apart) % count;
    }
  }
  return medians;
}

/** Puts one value in the place of another (which is among them) in values that are in order, and leaves them so. */
function exchange(ordered: Float64Array, out: number, put: number): void {
  let at = 0;
  while (ordered[at] < out) at++;
  for (; at + 1 < ordered.length && ordered[at + 1] < put; at++) ordered[at] = ordered[at + 1];
  for (; at > 0 && ordered[at - 1] > put; at--) ordered[at] = ordered[at - 1];
  ordered[at] = put;
}

/** Logarithm of brightness, or of red or blue over green. */
function toneOf(codes: Float64Array, at: number, tone: number): number {
  const r = codes[at] + 4;
  const g = codes[at + 1] + 4;
  const b = codes[at + 2] + 4;
  return 2.2 * Math.log(tone === 0 ? 0.2126 * r + 0.7152 * g + 0.0722 * b : (tone === 1 ? r : b) / g);
}
