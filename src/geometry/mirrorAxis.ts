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
  for (let k = -steps; k <= steps; k++) {
    const angle = around + (k * range) / steps;
    tried.push({ angle, difference: bestOffset(crossings(coarse, angle, COARSE_ROWS, false)).difference });
  }
  // Several valleys may compete: refine each of the three lowest local minima before choosing.
  const valleys = tried
    .map((t, i) => ({ ...t, i }))
    .filter(
      ({ i, difference }) =>
        (i === 0 || tried[i - 1].difference >= difference) &&
        (i === tried.length - 1 || tried[i + 1].difference >= difference),
    )
    .sort((a, b) => a.difference - b.difference)
    .slice(0, 3);
  let best: MirrorLine | undefined;
  for (const valley of valleys) {
    const low = Math.max(around - range, valley.angle - range / steps);
    const high = Math.min(around + range, valley.angle + range / steps);
    const angle = goldenMinimum(
      (a) => bestOffset(crossings(rings, a, FINE_ROWS, true)).difference,
      low,
      high,
      1e-5,
    );
    const found = bestOffset(crossings(rings, angle, FINE_ROWS, true));
    if (best === undefined || found.difference < best.difference) best = { angle, ...found };
  }
  return best ?? { angle: around, ...bestOffset(crossings(rings, around, FINE_ROWS, true)) };
}

/** Every so many points of a ring, so that the coarse search costs the same for a dense scan. */
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

/** Symmetric difference as above for one given line. */
export function mirrorDifference(rings: readonly Points2[], angle: number, offset: number): number {
  const rows = crossings(rings, angle, FINE_ROWS, true);
  return differenceAt(rows, offset);
}

interface Rows {
  /** Crossings of each row, ascending, one after another; row r owns start[r]…start[r + 1]. */
  readonly x: Float64Array;
  readonly start: Uint32Array;
  /** Height of each row. */
  readonly height: Float64Array;
  /** Sum of interval lengths × row heights: the area. */
  readonly total: number;
}

function bestOffset(rows: Rows): { offset: number; difference: number } {
  // With one interval a row, the difference grows with |offset − midpoint|: the median midpoint is the answer.
  const middles: number[] = [];
  for (let r = 0; r + 1 < rows.start.length; r++) {
    const a = rows.start[r];
    const b = rows.start[r + 1];
    if (b > a) middles.push((rows.x[a] + rows.x[b - 1]) / 2);
  }
  middles.sort((a, b) => a - b);
  const at = (share: number): number =>
    middles[Math.min(middles.length - 1, Math.floor(share * middles.length))];
  const low = at(0.2);
  const high = at(0.8);
  const offset =
    high > low ? goldenMinimum((o) => differenceAt(rows, o), low, high, (high - low) * 1e-4) : at(0.5);
  return { offset, difference: differenceAt(rows, offset) };
}

/**
 * Crossings of the rings with about `count` rows in the frame whose +y is the direction `angle`: rows of equal height, or
 * (`byVertex`) with borders at the vertices too, so that every interval's ends run straight through each row.
 */
function crossings(rings: readonly Points2[], angle: number, count: number, byVertex: boolean): Rows {
  const turnedRings = rings.map((ring) => turnedRing(ring, angle));
  const { y, height } = rowsOver(turnedRings, count, byVertex);
  const rows = y.length;
  const counts = new Uint32Array(rows + 1);
  const visit = (each: (row: number, x: number) => void): void => {
    for (const ring of turnedRings) {
      const n = ring.length;
      // A row belongs to an edge from its lower end on, upper end excluded: a row through a vertex counts it once.
      let rank = firstRowFrom(y, ring[n - 1]);
      let [x0, y0] = [ring[n - 2], ring[n - 1]];
      for (let i = 0; i < n; i += 2) {
        const next = firstRowFrom(y, ring[i + 1]);
        const slope = (ring[i] - x0) / (ring[i + 1] - y0);
        for (let r = Math.min(rank, next); r < Math.max(rank, next); r++) each(r, x0 + slope * (y[r] - y0));
        rank = next;
        [x0, y0] = [ring[i], ring[i + 1]];
      }
    }
  };
  visit((r) => {
    counts[r + 1]++;
  });
  for (let r = 0; r < rows; r++) counts[r + 1] += counts[r];
  const start = counts.slice();
  const fill = counts.slice();
  const x = new Float64Array(start[rows]);
  visit((r, value) => {
    x[fill[r]++] = value;
  });
  let total = 0;
  for (let r = 0; r < rows; r++) {
    const row = x.subarray(start[r], start[r + 1]);
    if (row.length > 2) row.sort();
    else if (row.length === 2 && row[0] > row[1]) row.reverse();
    for (let k = 0; k + 1 < row.length; k += 2) total += height[r] * (row[k + 1] - row[k]);
  }
  return { x, start, height, total };
}

/** In the frame whose +y is the direction `angle`, (−sin, cos); to its right (cos, sin). */
function turnedRing(ring: Points2, angle: number): Float64Array {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const out = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    out[i] = ring[i] * c + ring[i + 1] * s;
    out[i + 1] = -ring[i] * s + ring[i + 1] * c;
  }
  return out;
}

/** Middles and heights of the rows, bottom up. */
function rowsOver(
  rings: readonly Float64Array[],
  count: number,
  byVertex: boolean,
): { y: Float64Array; height: Float64Array } {
  const levels: number[] = [];
  for (const ring of rings) for (let i = 1; i < ring.length; i += 2) levels.push(ring[i]);
  const sorted = Float64Array.from(levels).sort();
  const low = sorted[0];
  const whole = sorted[sorted.length - 1] - low;
  const step = whole / count;
  const y: number[] = [];
  const height: number[] = [];
  const fill = (from: number, to: number): void => {
    const parts = Math.max(1, Math.ceil((to - from) / step - 1e-9));
    for (let k = 0; k < parts; k++) {
      y.push(from + ((k + 0.5) / parts) * (to - from));
      height.push((to - from) / parts);
    }
  };
  if (!byVertex) fill(low, low + whole);
  else {
    let border = low;
    for (const level of sorted) {
      // Vertices almost level with each other share a border: what is lost lies within a sliver.
      if (level - border < step / 8) continue;
      fill(border, level);
      border = level;
    }
    if (border < low + whole) fill(border, low + whole);
  }
  return { y: Float64Array.from(y), height: Float64Array.from(height) };
}

/** Index of the first row at or above `level`. */
function firstRowFrom(y: Float64Array, level: number): number {
  let low = 0;
  let high = y.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (y[middle] < level) low = middle + 1;
    else high = middle;
  }
  return low;
}

function differenceAt(rows: Rows, offset: number): number {
  const { x, start, height, total } = rows;
  let overlap = 0;
  for (let r = 0; r + 1 < start.length; r++) {
    const a = start[r];
    const b = start[r + 1];
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
