import { rankInPlace } from './median.ts';
import { crossings, Room, type Rows } from './rowCrossings.ts';
import type { Points2 } from './types.ts';

/** A line in the plane: through (x, y) along `angle` (radians, from +y, counter-clockwise). */
export interface MirrorLine {
  readonly angle: number;
  /** Signed distance of the line from the coordinate origin, to the right of its direction. */
  readonly offset: number;
  /** Symmetric-difference area between the rings and their reflection, over twice the area; 0 is perfect. */
  readonly difference: number;
}

const COARSE_ROWS = 256;
const COARSE_POINTS = 600;
const FINE_ROWS = 2048;
const FOLLOWED_ROWS = 1024;
/** How near to the deepest valley (as a share and more) another must come to be followed, and then to be judged by all rows. */
const FOLLOWED = [1.5, 0.02] as const;
const RIVALS = [1.02, 1e-4] as const;
/** Angles to which a valley is followed with fewer rows and with all of them, radians. */
const [NEAR, SETTLED] = [4e-4, 1e-5];
/** Borders of rows that are nearer to each other than this share of a row are one: for searches, and for an area to 2⁻²⁴ of the height. */
const [FOLLOWING, SEARCHED, EXACT] = [1 / 4, 1 / 8, 1 / 8192];
/** To what share of its range the place of a line is found, for a search and for the answer. */
const [ROUGHLY, EXACTLY] = [1e-4, 1e-8];
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * The line whose reflection of a polygon (rings, even-odd) onto itself leaves the least symmetric difference, among
 * directions within ±range of `around` (radians from +y). Reflection keeps each row square to the line, so that the
 * overlap is a sum over rows of overlaps of intervals. The coarse search takes rows at equal steps; the fine one puts row
 * borders at the vertices, because an edge nearly level with the rows (a straight base) would else enter and leave whole
 * rows at a time and make false valleys.
 */
export function mirrorLine(rings: readonly Points2[], around: number, range: number): MirrorLine {
  const step = Math.PI / 180;
  const steps = Math.max(1, Math.round(range / step));
  const tried: { angle: number; difference: number }[] = [];
  const coarse = rings.map(thinned);
  const room = new Room();
  for (let k = -steps; k <= steps; k++) {
    const angle = around + (k * range) / steps;
    tried.push({
      angle,
      difference: bestOffset(crossings(coarse, angle, COARSE_ROWS, undefined, room), ROUGHLY).difference,
    });
  }
  // Several valleys may compete: follow each of the three lowest local minima before choosing.
  const valleys = tried
    .map((t, i) => ({ ...t, i }))
    .filter(
      ({ i, difference }) =>
        (i === 0 || tried[i - 1].difference >= difference) &&
        (i === tried.length - 1 || tried[i + 1].difference >= difference),
    )
    .sort((a, b) => a.difference - b.difference)
    .slice(0, 3);
  // Fewer rows and never fewer points: which points of a ring are kept would depend on where it starts.
  const followed = rivals(valleys, FOLLOWED).map(({ angle }) =>
    followValley(rings, angle, range / steps, NEAR, FOLLOWED_ROWS, FOLLOWING, room),
  );
  let best: MirrorLine | undefined;
  for (const { angle } of rivals(followed, RIVALS)) {
    const found = followValley(rings, angle, 2 * NEAR, SETTLED, FINE_ROWS, SEARCHED, room);
    if (best === undefined || found.difference < best.difference) best = found;
  }
  return best ?? { angle: around, ...bestOffset(crossings(rings, around, FINE_ROWS, SEARCHED), EXACTLY) };
}

/** Those that come near to the one of least difference. */
function rivals<T extends { readonly difference: number }>(
  all: readonly T[],
  [share, more]: readonly [number, number],
): T[] {
  const least = Math.min(...all.map(({ difference }) => difference));
  return all.filter(({ difference }) => difference <= share * least + more);
}

/** The line of least difference within ±`reach` of an angle, its direction to `tolerance`; radians. */
function followValley(
  rings: readonly Points2[],
  from: number,
  reach: number,
  tolerance: number,
  rows: number,
  apart: number,
  room: Room,
): MirrorLine {
  const at = (angle: number, tolerance: number) =>
    bestOffset(crossings(rings, angle, rows, apart, room), tolerance);
  const angle = goldenMinimum((a) => at(a, ROUGHLY).difference, from - reach, from + reach, tolerance);
  return { angle, ...at(angle, EXACTLY) };
}

/** Every so many points of a ring, so that a search costs the same for a dense scan. */
function thinned(ring: Points2): Points2 {
  const stride = Math.floor(ring.length / 2 / COARSE_POINTS);
  if (stride < 2) return ring;
  const count = Math.floor(ring.length / 2 / stride);
  const out = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    out[2 * i] = ring[2 * i * stride];
    out[2 * i + 1] = ring[2 * i * stride + 1];
  }
  return out;
}

/** Symmetric difference as above for one given line, with a border of rows at every vertex. */
export function mirrorDifference(rings: readonly Points2[], angle: number, offset: number): number {
  return mirrorDifferences(rings, angle)(offset);
}

/** The same for lines of one direction by their offsets. */
export function mirrorDifferences(rings: readonly Points2[], angle: number): (offset: number) => number {
  const rows = crossings(rings, angle, FINE_ROWS, EXACT);
  return (offset) => differenceAt(rows, offset);
}

function bestOffset(rows: Rows, tolerance: number): { offset: number; difference: number } {
  // With one interval a row, the difference grows with |offset − midpoint|: the median midpoint is the answer.
  const found = new Float64Array(rows.height.length);
  let count = 0;
  for (let r = 0; r + 1 < rows.start.length; r++) {
    const a = rows.start[r];
    const b = rows.start[r + 1];
    if (b > a) found[count++] = (rows.x[a] + rows.x[b - 1]) / 2;
  }
  const middles = found.subarray(0, count);
  const at = (share: number): number => rankInPlace(middles, Math.min(count - 1, Math.floor(share * count)));
  const low = at(0.2);
  const high = at(0.8);
  const offset = high > low ? levelPlace((o) => overlapSlope(rows, o), low, high, tolerance) : at(0.5);
  return { offset, difference: differenceAt(rows, offset) };
}

/** How the overlap with the reflection grows as the line moves to the right: area per length. */
function overlapSlope({ x, start, height }: Rows, offset: number): number {
  let slope = 0;
  for (let r = 0; r + 1 < start.length; r++) {
    const a = start[r];
    const b = start[r + 1];
    if (b - a === 2) {
      const off = x[a] + x[a + 1] - 2 * offset;
      if (Math.abs(off) < x[a + 1] - x[a]) slope += off > 0 ? height[r] : -height[r];
      continue;
    }
    for (let i = a; i + 1 < b; i += 2) {
      for (let j = a; j + 1 < b; j += 2) {
        const left = 2 * offset - x[j + 1];
        const right = 2 * offset - x[j];
        if (Math.min(x[i + 1], right) <= Math.max(x[i], left)) continue;
        // The end of the reflected interval moves, that of the other stays.
        slope += ((right < x[i + 1] ? 1 : 0) - (left > x[i] ? 1 : 0)) * height[r];
      }
    }
  }
  return 2 * slope;
}

/** Where a slope that falls from above 0 to below is 0, to a share of the range: false position with halving (Illinois). */
function levelPlace(slope: (x: number) => number, low: number, high: number, share: number): number {
  // Never finer than numbers of this size are.
  const tolerance = Math.max((high - low) * share, 1e-13 * Math.max(Math.abs(low), Math.abs(high)));
  let a = low;
  let b = high;
  let fa = slope(low);
  let fb = slope(high);
  if (fa <= 0) return low;
  if (fb >= 0) return high;
  let last = 0;
  while (b - a > tolerance) {
    // Never nearer to an end than the tolerance, so that the other end follows.
    const c = Math.min(b - tolerance / 2, Math.max(a + tolerance / 2, (a * fb - b * fa) / (fb - fa)));
    const fc = slope(c);
    if (fc === 0) return c;
    if (fc > 0) {
      [a, fa] = [c, fc];
      if (last > 0) fb /= 2;
      last = 1;
    } else {
      [b, fb] = [c, fc];
      if (last < 0) fa /= 2;
      last = -1;
    }
  }
  return (a + b) / 2;
}

function differenceAt(rows: Rows, offset: number): number {
  const { x, start, height, total } = rows;
  let overlap = 0;
  for (let r = 0; r + 1 < start.length; r++) {
    const a = start[r];
    const b = start[r + 1];
    if (b - a === 2) {
      const common = x[a + 1] - x[a] - Math.abs(x[a] + x[a + 1] - 2 * offset);
      if (common > 0) overlap += height[r] * common;
      continue;
    }
    for (let i = a; i + 1 < b; i += 2) {
      for (let j = a; j + 1 < b; j += 2) {
        const low = Math.max(x[i], 2 * offset - x[j + 1]);
        const high = Math.min(x[i + 1], 2 * offset - x[j]);
        if (high > low) overlap += height[r] * (high - low);
      }
    }
  }
  return total > 0 ? 1 - overlap / total : 0;
}

function goldenMinimum(f: (x: number) => number, low: number, high: number, tolerance: number): number {
  let a = low;
  let b = high;
  let c = b - GOLDEN * (b - a);
  let d = a + GOLDEN * (b - a);
  let fc = f(c);
  let fd = f(d);
  while (b - a > tolerance) {
    if (fc < fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - GOLDEN * (b - a);
      fc = f(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + GOLDEN * (b - a);
      fd = f(d);
    }
  }
  return (a + b) / 2;
}
