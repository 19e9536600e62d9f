import { lowest } from './lowest.ts';
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
const FOLLOWED_POINTS = 1200;
const SETTLED_POINTS = 3000;
const FINE_ROWS = 2048;
const SETTLED_ROWS = 1024;
const FOLLOWED_ROWS = 512;
/** How near to the deepest valley (as a share and more) another must come to be followed, and then to be judged by all rows. */
const FOLLOWED = [1.5, 0.02] as const;
const RIVALS = [1.02, 1e-4] as const;
/** How often a valley is followed on. */
const MOST_ROUNDS = 10;
/** Angles to which a valley is followed with few points and with more of them, radians, and within which the latter do: a valley's floor is uneven. */
const [NEAR, SETTLED, ABOUT] = [4e-4, 1e-5, 1.6e-3];
/** The angle to which it is where the floor is level, to this share of the area. */
const [FLAT, LEVEL] = [1e-4, 1e-6];
/** Borders of rows that are nearer to each other than this share of a row are one: for searches, and for an area to 2⁻²⁴ of the height. */
const [FOLLOWING, SEARCHED, EXACT] = [1 / 2, 1 / 4, 1 / 8192];
/**
 * Steps of the answer's angle, radians: on a valley's floor differences are alike to their last digits, which engines round
 * otherwise, and one outline has one axis all the same.
 */
const GRAIN = 2 ** -30;
/** To what share of its range the place of a line is found, for a search and for the answer. */
const [ROUGHLY, EXACTLY] = [1e-3, 1e-8];

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
  const coarse = rings.map((ring) => thinned(ring, COARSE_POINTS));
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
  const fewer = rings.map((ring) => thinned(ring, FOLLOWED_POINTS));
  const followed = rivals(valleys, FOLLOWED).map(({ angle }) =>
    followValley(fewer, angle, range / steps, NEAR, FOLLOWED_ROWS, FOLLOWING, room),
  );
  let best: MirrorLine | undefined;
  const more = rings.map((ring) => thinned(ring, SETTLED_POINTS));
  for (const { angle } of rivals(followed, RIVALS)) {
    const found = settled(more, angle, room);
    if (best === undefined || found.difference < best.difference) best = found;
  }
  // All points have a say in where along that direction the line lies, and in what it leaves.
  const angle = Math.round((best?.angle ?? around) / GRAIN) * GRAIN;
  return { angle, ...bestOffset(crossings(rings, angle, FINE_ROWS, SEARCHED, room), EXACTLY) };
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
  const difference = (angle: number) => at(angle, ROUGHLY).difference;
  const { at: angle } = lowest(difference, from - reach, from + reach, from, {
    place: tolerance,
    flat: FLAT,
    level: LEVEL,
  });
  return { angle, ...at(angle, EXACTLY) };
}

/**
 * The line of least difference by more points, near an angle that few of them gave: which of a ring's points these are depends on
 * where it starts, so that it is followed on where the valley turns out to lie farther off.
 */
function settled(rings: readonly Points2[], near: number, room: Room): MirrorLine {
  let from = near;
  for (let round = 1; ; round++) {
    const found = followValley(rings, from, ABOUT, SETTLED, SETTLED_ROWS, SEARCHED, room);
    if (Math.abs(found.angle - from) < ABOUT - SETTLED || round === MOST_ROUNDS) return found;
    from = found.angle;
  }
}

/** Every so many points of a ring, `most` and fewer than twice as many, so that a search costs the same for a dense one. */
function thinned(ring: Points2, most: number): Points2 {
  const stride = Math.floor(ring.length / 2 / most);
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
  const offset = high > low ? levelPlace(new OverlapSlope(rows), low, high, tolerance) : at(0.5);
  return { offset, difference: differenceAt(rows, offset) };
}

/** How the overlap with the reflection grows as the line moves to the right: area per length, between offsets that only draw nearer. */
class OverlapSlope {
  private readonly rows: Rows;
  /** Rows whose part in it may still change, and what the others add. */
  private readonly open: Uint32Array;
  private count: number;
  private settled = 0;

  constructor(rows: Rows) {
    this.rows = rows;
    this.count = rows.start.length - 1;
    this.open = new Uint32Array(this.count);
    for (let r = 0; r < this.count; r++) this.open[r] = r;
  }

  at(offset: number): number {
    const { x, start, height } = this.rows;
    let slope = this.settled;
    for (let k = 0; k < this.count; k++) {
      const r = this.open[k];
      const a = start[r];
      if (start[r + 1] - a !== 2) {
        slope += slopeOfIntervals(this.rows, r, offset);
        continue;
      }
      const off = x[a] + x[a + 1] - 2 * offset;
      if (Math.abs(off) < x[a + 1] - x[a]) slope += off > 0 ? height[r] : -height[r];
    }
    return 2 * slope;
  }

  /** From now on only offsets between these are asked for. */
  within(low: number, high: number): void {
    const { x, start, height } = this.rows;
    let count = 0;
    for (let k = 0; k < this.count; k++) {
      const r = this.open[k];
      const a = start[r];
      const crossings = start[r + 1] - a;
      if (crossings === 0) continue;
      if (crossings === 2) {
        // It changes where the middle, and either end, of its interval is at the line.
        const wide = x[a + 1] - x[a];
        const one = x[a] + x[a + 1] - 2 * low;
        const other = x[a] + x[a + 1] - 2 * high;
        if (other >= wide || one <= -wide) continue;
        if (one < wide && other > -wide && (other > 0 || one < 0)) {
          this.settled += other > 0 ? height[r] : -height[r];
          continue;
        }
      }
      this.open[count++] = r;
    }
    this.count = count;
  }
}

/** What one row of several intervals adds to half of the slope. */
function slopeOfIntervals({ x, start, height }: Rows, r: number, offset: number): number {
  const a = start[r];
  const b = start[r + 1];
  let slope = 0;
  for (let i = a; i + 1 < b; i += 2) {
    for (let j = a; j + 1 < b; j += 2) {
      const left = 2 * offset - x[j + 1];
      const right = 2 * offset - x[j];
      if (Math.min(x[i + 1], right) <= Math.max(x[i], left)) continue;
      // The end of the reflected interval moves, that of the other stays.
      slope += ((right < x[i + 1] ? 1 : 0) - (left > x[i] ? 1 : 0)) * height[r];
    }
  }
  return slope;
}

/** Where a slope that falls from above 0 to below is 0, to a share of the range: false position with halving (Illinois). */
function levelPlace(slope: OverlapSlope, low: number, high: number, share: number): number {
  // Never finer than numbers of this size are.
  const tolerance = Math.max((high - low) * share, 1e-13 * Math.max(Math.abs(low), Math.abs(high)));
  let a = low;
  let b = high;
  let fa = slope.at(low);
  let fb = slope.at(high);
  if (fa <= 0) return low;
  if (fb >= 0) return high;
  let last = 0;
  while (b - a > tolerance) {
    slope.within(a, b);
    // Never nearer to an end than the tolerance, so that the other end follows.
    const c = Math.min(b - tolerance / 2, Math.max(a + tolerance / 2, (a * fb - b * fa) / (fb - fa)));
    const fc = slope.at(c);
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
