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
const FINE_ROWS = 2048;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * The line whose reflection of a polygon (rings, even-odd) onto itself leaves the least symmetric difference, among
 * directions within ±range of `around` (radians from +y). Reflection keeps each row square to the line, so that the
 * overlap is a sum over rows of overlaps of intervals: exact as rows grow many, and smooth enough to search.
 */
export function mirrorLine(rings: readonly Points2[], around: number, range: number): MirrorLine {
  const step = Math.PI / 180;
  const steps = Math.max(1, Math.round(range / step));
  const tried: { angle: number; difference: number }[] = [];
  for (let k = -steps; k <= steps; k++) {
    const angle = around + (k * range) / steps;
    tried.push({ angle, difference: bestOffset(rings, angle, COARSE_ROWS).difference });
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
    const angle = goldenMinimum((a) => bestOffset(rings, a, FINE_ROWS).difference, low, high, 1e-5);
    const found = bestOffset(rings, angle, FINE_ROWS);
    if (best === undefined || found.difference < best.difference) best = { angle, ...found };
  }
  return best ?? { angle: around, ...bestOffset(rings, around, FINE_ROWS) };
}

/** Symmetric difference as above for one given line. */
export function mirrorDifference(rings: readonly Points2[], angle: number, offset: number): number {
  const rows = crossings(rings, angle, FINE_ROWS);
  return differenceAt(rows, offset);
}

interface Rows {
  /** Crossings of each row, ascending, one after another; row r owns start[r]…start[r + 1]. */
  readonly x: Float64Array;
  readonly start: Uint32Array;
  /** Sum of interval lengths over all rows. */
  readonly total: number;
}

function bestOffset(
  rings: readonly Points2[],
  angle: number,
  count: number,
): { offset: number; difference: number } {
  const rows = crossings(rings, angle, count);
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

/** Crossings of the rings with `count` equally spaced rows, in the frame whose +y is the direction `angle`. */
function crossings(rings: readonly Points2[], angle: number, count: number): Rows {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  // Direction (−sin, cos); to its right (cos, sin).
  const turnedRings = rings.map((ring) => {
    const out = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      out[i] = ring[i] * c + ring[i + 1] * s;
      out[i + 1] = -ring[i] * s + ring[i + 1] * c;
    }
    return out;
  });
  let min = Infinity;
  let max = -Infinity;
  for (const ring of turnedRings) {
    for (let i = 1; i < ring.length; i += 2) {
      if (ring[i] < min) min = ring[i];
      if (ring[i] > max) max = ring[i];
    }
  }
  const height = (max - min) / count;
  const first = min + height / 2;
  const counts = new Uint32Array(count + 1);
  const visit = (each: (row: number, x: number) => void): void => {
    for (const ring of turnedRings) {
      const n = ring.length;
      for (let i = 0; i < n; i += 2) {
        const j = i + 2 === n ? 0 : i + 2;
        const y0 = (ring[i + 1] - first) / height;
        const y1 = (ring[j + 1] - first) / height;
        if (y0 === y1) continue;
        const lo = Math.max(0, Math.ceil(Math.min(y0, y1)));
        // Half-open: a row through a vertex counts it once.
        const hi = Math.min(count, Math.ceil(Math.max(y0, y1)));
        for (let r = lo; r < hi; r++) each(r, ring[i] + ((ring[j] - ring[i]) * (r - y0)) / (y1 - y0));
      }
    }
  };
  visit((r) => {
    counts[r + 1]++;
  });
  for (let r = 0; r < count; r++) counts[r + 1] += counts[r];
  const start = counts.slice();
  const fill = counts.slice();
  const x = new Float64Array(start[count]);
  visit((r, value) => {
    x[fill[r]++] = value;
  });
  let total = 0;
  for (let r = 0; r < count; r++) {
    const row = x.subarray(start[r], start[r + 1]);
    if (row.length > 2) row.sort();
    else if (row.length === 2 && row[0] > row[1]) row.reverse();
    for (let k = 0; k + 1 < row.length; k += 2) total += row[k + 1] - row[k];
  }
  return { x, start, total };
}

function differenceAt(rows: Rows, offset: number): number {
  const { x, start, total } = rows;
  let overlap = 0;
  for (let r = 0; r + 1 < start.length; r++) {
    const a = start[r];
    const b = start[r + 1];
    for (let i = a; i + 1 < b; i += 2) {
      for (let j = a; j + 1 < b; j += 2) {
        const low = Math.max(x[i], 2 * offset - x[j + 1]);
        const high = Math.min(x[i + 1], 2 * offset - x[j]);
        if (high > low) overlap += high - low;
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
