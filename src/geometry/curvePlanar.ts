import type { Points2 } from './types.ts';

/** A closed polyline in the plane with the arc length of each of its points. */
export interface PlanarCurve {
  /** 2 × n; closed implicitly. */
  readonly points: Points2;
  /** Arc length from the first point to each point; n long, first 0. */
  readonly arc: Float64Array;
  /** Length all the way round. */
  readonly length: number;
}

export function planarCurve(points: Points2): PlanarCurve {
  const n = points.length / 2;
  const arc = new Float64Array(n);
  let length = 0;
  for (let i = 0; i < n; i++) {
    arc[i] = length;
    const a = 2 * i;
    const b = i + 1 < n ? a + 2 : 0;
    const dx = points[b] - points[a];
    const dy = points[b + 1] - points[a + 1];
    // Ten times as fast as Math.hypot, which guards against lengths that no picture or scan has.
    length += Math.sqrt(dx * dx + dy * dy);
  }
  return { points, arc, length };
}

/** Length of the curve that point i stands for: half-way to either neighbour. */
export function spanAt({ arc, length }: PlanarCurve, i: number): number {
  const n = arc.length;
  const before = i > 0 ? arc[i - 1] : arc[n - 1] - length;
  const after = i + 1 < n ? arc[i + 1] : length;
  return (after - before) / 2;
}

/** `count` points at equal steps of arc length over [from, to], both ends included; wraps round the start. */
export function sampleCurve(curve: PlanarCurve, from: number, to: number, count: number): Points2 {
  const { points, arc, length } = curve;
  const n = arc.length;
  const out = new Float64Array(2 * count);
  let low = 0;
  for (let k = 0; k < count; k++) {
    const s = from + ((to - from) * k) / Math.max(1, count - 1);
    const place = s - Math.floor(s / length) * length;
    low = lastUpTo(arc, place, low);
    const end = low + 1 < n ? arc[low + 1] : length;
    const f = end > arc[low] ? (place - arc[low]) / (end - arc[low]) : 0;
    const a = 2 * low;
    const b = 2 * ((low + 1) % n);
    out[2 * k] = points[a] + f * (points[b] - points[a]);
    out[2 * k + 1] = points[a + 1] + f * (points[b + 1] - points[a + 1]);
  }
  return out;
}

/** Steps that are tried from one place to the next before all of a curve is searched. */
const STEPS = 8;

/** The last point at an arc length or before it, the first of all at least; looked for from the point `near` on. */
function lastUpTo(arc: Float64Array, place: number, near: number): number {
  let low = near;
  if (arc[low] <= place) {
    for (let k = 0; k < STEPS; k++) {
      if (low + 1 === arc.length || arc[low + 1] > place) return low;
      low++;
    }
  } else low = 0;
  let high = arc.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (arc[middle] <= place) low = middle;
    else high = middle;
  }
  return low;
}

/** `count` points at equal steps once round, the first at arc length `from`. */
export function resampleRing(curve: PlanarCurve, count: number, from = 0): Points2 {
  return sampleCurve(curve, from, from + (curve.length * (count - 1)) / count, count);
}

/** The same ring begun at arc length `from`, with a point put in there. */
export function startRingAt(curve: PlanarCurve, from: number): Points2 {
  const { points, arc, length } = curve;
  const place = from - Math.floor(from / length) * length;
  const first = sampleCurve(curve, place, place, 1);
  const n = arc.length;
  let next = arc.findIndex((s) => s > place);
  if (next < 0) next = n;
  const out: number[] = [first[0], first[1]];
  for (let k = 0; k < n; k++) {
    const i = (next + k) % n;
    if (arc[i] === place) continue;
    out.push(points[2 * i], points[2 * i + 1]);
  }
  return Float64Array.from(out);
}

/** Arc lengths at which the curve crosses the line x = `x`, with the y of each, in order of arc length. */
export function crossingsOfColumn(curve: PlanarCurve, x: number): { arc: number; y: number }[] {
  const { points, arc, length } = curve;
  const n = arc.length;
  const found: { arc: number; y: number }[] = [];
  for (let i = 0; i < n; i++) {
    const a = 2 * i;
    const b = 2 * ((i + 1) % n);
    // Half-open, so that a crossing at a vertex counts once.
    if (points[a] < x === points[b] < x) continue;
    const f = (x - points[a]) / (points[b] - points[a]);
    const end = i + 1 < n ? arc[i + 1] : length;
    found.push({ arc: arc[i] + f * (end - arc[i]), y: points[a + 1] + f * (points[b + 1] - points[a + 1]) });
  }
  return found;
}
