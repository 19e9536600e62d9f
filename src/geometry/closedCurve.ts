import type { Points3 } from './types.ts';

/** A closed polyline in space with the arc length of each of its points. Structurally what a traced line brings along. */
export interface ClosedCurve {
  /** 3 × n; closed implicitly. */
  readonly points: Points3;
  /** Arc length from the first point to each point; n long, first 0, never falling. */
  readonly arc: Float64Array;
  /** Length all the way round. */
  readonly length: number;
}

export function closedCurve(points: Points3): ClosedCurve {
  const n = points.length / 3;
  const arc = new Float64Array(n);
  let length = 0;
  for (let i = 0; i < n; i++) {
    arc[i] = length;
    const a = 3 * i;
    const b = 3 * ((i + 1) % n);
    length += Math.hypot(points[b] - points[a], points[b + 1] - points[a + 1], points[b + 2] - points[a + 2]);
  }
  return { points, arc, length };
}

/** `s` brought into 0 ≤ s < length. */
export function wrapArc(s: number, length: number): number {
  const wrapped = s - Math.floor(s / length) * length;
  // Rounding may leave it a hair outside.
  return wrapped > 0 && wrapped < length ? wrapped : 0;
}

/** Shortest way round between two places on a closed line, ≥ 0. */
export function arcDistance(a: number, b: number, length: number): number {
  const d = Math.abs(wrapArc(a - b, length));
  return Math.min(d, length - d);
}

/** Index of the point at or before arc length `s` (0 ≤ s < length). Binary search. */
export function indexAt(curve: ClosedCurve, s: number): number {
  const { arc } = curve;
  let low = 0;
  let high = arc.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (arc[middle] <= s) low = middle;
    else high = middle;
  }
  return low;
}

/** Writes the point at arc length `s` (any number; wraps) to `out` from `at` on, and returns `out`. */
export function pointAt(curve: ClosedCurve, s: number, out: Float64Array, at = 0): Float64Array {
  const { points, arc, length } = curve;
  const place = wrapArc(s, length);
  const i = indexAt(curve, place);
  const j = i + 1 < arc.length ? i + 1 : 0;
  const end = j === 0 ? length : arc[j];
  const f = end > arc[i] ? (place - arc[i]) / (end - arc[i]) : 0;
  for (let k = 0; k < 3; k++) out[at + k] = points[3 * i + k] + f * (points[3 * j + k] - points[3 * i + k]);
  return out;
}

/**
 * The curve's points at `count` equal steps of arc length from `from` on; 3 × count.
 */
export function resampleClosed(curve: ClosedCurve, count: number, from = 0): Points3 {
  const out = new Float64Array(3 * count);
  for (let i = 0; i < count; i++) pointAt(curve, from + (i * curve.length) / count, out, 3 * i);
  return out;
}

/**
 * Arc length of a place that the form of the curve decides, and not where it begins or which way it runs: a crest of the
 * second harmonic of its squared distance from its centroid, about the ends of a long shape. The other crest is half-way
 * round, so that an even number of equal steps meets both: such steps are the same places however the curve is turned.
 * In 0 … length / 2.
 */
export function formPlace(curve: ClosedCurve): number {
  const { points, arc, length } = curve;
  const n = arc.length;
  const centre = [0, 0, 0];
  const mean = [0, 0, 0];
  const eachSegment = (visit: (size: number, s: number) => void): void => {
    for (let i = 0; i < n; i++) {
      const j = i + 1 < n ? i + 1 : 0;
      const end = j === 0 ? length : arc[j];
      for (let k = 0; k < 3; k++) mean[k] = (points[3 * i + k] + points[3 * j + k]) / 2;
      visit(end - arc[i], (arc[i] + end) / 2);
    }
  };
  eachSegment((size) => {
    for (let k = 0; k < 3; k++) centre[k] += (size * mean[k]) / length;
  });
  let [cosine, sine] = [0, 0];
  eachSegment((size, s) => {
    const away = (mean[0] - centre[0]) ** 2 + (mean[1] - centre[1]) ** 2 + (mean[2] - centre[2]) ** 2;
    const turn = (4 * Math.PI * s) / length;
    cosine += size * away * Math.cos(turn);
    sine += size * away * Math.sin(turn);
  });
  return wrapArc((Math.atan2(sine, cosine) / (4 * Math.PI)) * length, length / 2);
}

const TANGENT_SAMPLES = 12;
const probe = new Float64Array(3);

/**
 * Unit tangent at `s`: the least-squares slope of the points against arc length over s ± half, from 24 even samples.
 * On a circle the direction is exact; on a wave of length λ the slope falls by about (2π·half/λ)²/10.
 */
export function tangentAt(curve: ClosedCurve, s: number, half: number, out: Float64Array): Float64Array {
  out.fill(0, 0, 3);
  for (let k = 1; k <= TANGENT_SAMPLES; k++) {
    const t = (k - 0.5) / TANGENT_SAMPLES;
    pointAt(curve, s + t * half, probe);
    for (let c = 0; c < 3; c++) out[c] += t * probe[c];
    pointAt(curve, s - t * half, probe);
    for (let c = 0; c < 3; c++) out[c] -= t * probe[c];
  }
  const norm = Math.hypot(out[0], out[1], out[2]) || 1;
  for (let c = 0; c < 3; c++) out[c] /= norm;
  return out;
}

/** Turns that differ by less, radians, differ by rounding. */
const SAME_TURN = 1e-9;

/**
 * Arc lengths at which the curve turns sharply, rising: the chord over the next `reach` deviates from the chord over the
 * last `reach` by more than `turn` radians, and by more than anywhere within `reach`. A circle turns by reach / radius.
 */
export function sharpCorners(curve: ClosedCurve, reach: number, turn: number): Float64Array {
  const count = 2 * Math.max(4, Math.ceil((4 * curve.length) / reach));
  const step = curve.length / count;
  const lag = Math.max(1, Math.round(reach / step));
  const from = formPlace(curve);
  const points = resampleClosed(curve, count, from);
  const turning = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    turning[i] = turnAt(points, (i - lag + count) % count, i, (i + lag) % count);
  }
  const at = (i: number): number => turning[((i % count) + count) % count];
  const isSame = (a: number, b: number): boolean => Math.abs(at(a) - at(b)) <= SAME_TURN;
  const found: number[] = [];
  for (let i = 0; i < count; i++) {
    if (turning[i] <= turn || isSame(i, i - 1)) continue;
    // A plateau gives one corner, in its middle.
    let last = i;
    while (last - i < lag && isSame(i, last + 1)) last++;
    let isPeak = true;
    for (let k = 1; k <= lag && isPeak; k++) isPeak = at(i) > at(i - k) && at(i) > at(last + k);
    if (isPeak) found.push(wrapArc(from + ((i + last) / 2) * step, curve.length));
  }
  return Float64Array.from(found).sort();
}

function turnAt(points: Points3, before: number, here: number, after: number): number {
  const a = 3 * before;
  const b = 3 * here;
  const c = 3 * after;
  const ux = points[b] - points[a];
  const uy = points[b + 1] - points[a + 1];
  const uz = points[b + 2] - points[a + 2];
  const vx = points[c] - points[b];
  const vy = points[c + 1] - points[b + 1];
  const vz = points[c + 2] - points[b + 2];
  const cross = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
  return Math.atan2(cross, ux * vx + uy * vy + uz * vz);
}

/** Runs of neighbouring places, of `n` on a closed line, at which something holds; a run over the end is one. */
export function circularRuns(n: number, holds: (place: number) => boolean): number[][] {
  let start = 0;
  while (start < n && holds(start)) start++;
  if (start === n) return [Array.from({ length: n }, (_, k) => k)];
  const runs: number[][] = [];
  let run: number[] = [];
  for (let i = 1; i <= n; i++) {
    const k = (start + i) % n;
    if (holds(k)) run.push(k);
    else if (run.length > 0) {
      runs.push(run);
      run = [];
    }
  }
  return runs;
}
