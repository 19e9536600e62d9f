import { formPlace, indexAt, resampleClosed, wrapArc } from '../geometry/closedCurve.ts';
import { mostSamples, smoothClosed } from '../geometry/smoothing.ts';
import type { MarginLine, Outline, PointErrors, ScanQuality } from '../trace/types.ts';
import { sharedLengthening } from './faceError.ts';
import type { Stretch } from './marginRuns.ts';
import { highestPoint } from './outlineTips.ts';
import type { Value } from './types.ts';

/** The margin is resampled this many times per smoothing scale before it is smoothed. */
const SAMPLES_PER_SCALE = 10;
/**
 * Over steps of that size the smoothing is at most this far, as a share, from one without steps, and where the side is cut and
 * how its chords lie tells as much: a rectangular error.
 */
const FILTER_ERROR = 0.0045;
/** Of what is stated for the least sure points of stretches, this share is found (on generated pieces). */
const FOUND = 0.67;
/** A turn of the line along y is one from so many standard deviations of what noise is left in its points on. */
const JITTER = 3;
/** Neighbouring errors of a traced margin are alike over about this length, mm. */
export const ERROR_LENGTH = 1;

/** What each point of the margin may be off by: as that of the outline, which runs the other way and starts anywhere. */
export function errorsAlong({ side }: MarginLine, { outer, left }: Outline): PointErrors | undefined {
  const n = side.length;
  if (left === undefined || left.plan.length !== n) return undefined;
  const tip = highestPoint(outer);
  const fromTip = (of: Float64Array): Float64Array => of.map((_, k) => of[(tip - k + n) % n]);
  return { plan: fromTip(left.plan), height: fromTip(left.height), wall: fromTip(left.wall) };
}

/**
 * Lengths of the stretches over the straight distances between their ends, both in y–z, with the height smoothed. The
 * plan is left as traced: smoothing it would cut off barbs and the corners of notches.
 */
export function sinuosityOf(
  margin: MarginLine,
  stretches: readonly Stretch[],
  scale: number,
  quality: ScanQuality,
  left: PointErrors | undefined,
): Value {
  const typical = quality.line?.plan ?? 0;
  // Corners, the ends of runs, are often less sure than a typical point.
  const noiseOf = (point: number): number => Math.max(typical, left?.plan[point] ?? 0);
  const { path, samples, step } = edgeOnPath(margin, scale, noiseOf);
  const { y, z, arc, rough } = path;
  const distance = (i: number, j: number): number => Math.hypot(y[j] - y[i], z[j] - z[i]);
  // What noise is left lets two places a scale apart stand this much out of line with each other.
  const slip = (Math.SQRT2 * (quality.line?.height ?? quality.noise)) / Math.max(scale, ERROR_LENGTH);
  const stride = Math.max(1, Math.round(Math.max(scale, alikeOver(quality)) / step));
  const noiseNear = (i: number) => noiseAround(margin, quality, left, samples.arc[i], (stride * step) / 2);
  const band = Math.min(quality.meanEdge, JITTER * typical || Infinity);
  let way = 0;
  let excess = 0;
  let flat = 0;
  let jitter = 0;
  let straight = 0;
  let turns = 0;
  let bends = 0;
  for (const { from, to } of stretches) {
    const [first, last] = within(arc, from, to);
    for (let i = first; i < last; i++) {
      const here = distance(i, i + 1);
      way += here;
      // Always longer, most where the line runs square to the length.
      excess += Math.hypot(here, slip * (arc[i + 1] - arc[i])) - here;
      flat += Math.abs(y[i + 1] - y[i]);
      jitter += Math.abs(rough[i + 1] - rough[i]) - Math.abs(y[i + 1] - y[i]);
    }
    straight += distance(first, last);
    bends += windingVariance(samples, within(samples.arc, from, to), stride, noiseNear);
    turns += turnbacks(y.subarray(first, last + 1), band);
  }
  if (!(straight > 0)) return { value: null, reason: 'the side has no extent seen edge-on' };
  // Where a barb or a notch turns the line back, half a triangle may be cut off its end, there and back.
  const turned = (Math.sqrt(turns) * quality.meanEdge) / Math.sqrt(12);
  // The two ends of the side are known to a sample: a little more or less of a line that winds as the rest of it does.
  // What the winding alone adds to the line, without its turns in plan.
  const excessWay = (way - flat) / straight;
  const ends = (Math.SQRT2 * step * excessWay) / Math.sqrt(12);
  const resolution = Math.hypot(
    Math.hypot(turned, FOUND * ends) / straight,
    (FILTER_ERROR * excessWay) / Math.sqrt(3),
  );
  // Between nothing and the whole of it, a rectangular error: half is taken off (JCGM 100:2008, 4.3.8).
  // Of what was taken off as jitter, up to half may have been the line's own, or too little may have been.
  const noise =
    (FOUND *
      Math.hypot(
        (way * sharedLengthening(quality)) / 2 / Math.sqrt(3),
        excess / 2 / Math.sqrt(3),
        jitter / 2 / Math.sqrt(3),
        Math.sqrt(bends),
      )) /
    straight;
  return { value: Math.max(1, (way - excess / 2) / straight), components: { noise, resolution } };
}

/** A margin seen edge-on: y and z at rising arc lengths, mm. */
interface EdgeOnPath {
  readonly arc: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
}

/**
 * A margin seen edge-on, its height smoothed, at even samples, and through its own points as well: even ones alone would
 * cut the corners of notches. `rough` is y before jitter was taken off it.
 */
function edgeOnPath(
  margin: MarginLine,
  scale: number,
  noiseOf: (point: number) => number,
): {
  readonly path: EdgeOnPath & { readonly rough: Float64Array };
  readonly samples: EdgeOnPath;
  readonly step: number;
} {
  const wanted = Math.ceil((SAMPLES_PER_SCALE * margin.length) / scale);
  // An even number from a place that the margin's own form decides: the same places from either end.
  const count = 2 * Math.ceil(Math.min(wanted, mostSamples(margin.arc.length)) / 2);
  const step = margin.length / count;
  const first = wrapArc(formPlace(margin), step);
  const points = resampleClosed(margin, count, first);
  const even = points.filter((_, i) => i % 3 === 1);
  // Smoothed all the way round before it is cut, so that no stretch bends at its ends.
  const heights = points.filter((_, i) => i % 3 === 2);
  const z = smoothClosed(heights, 1, step, scale);
  const samples = { arc: even.map((_, k) => first + k * step), y: even, z };
  const { arc, y: rough, point } = merged(samples, margin);
  const heightAt = (at: number): number => {
    const k = (Math.floor(at) + count) % count;
    const share = at - Math.floor(at);
    return z[k] + share * (z[(k + 1) % count] - z[k]);
  };
  const path = {
    arc,
    rough,
    y: withoutJitter(
      rough,
      Float64Array.from(point, (i) => JITTER * noiseOf(i)),
    ),
    z: arc.map((at) => heightAt((at - first) / step)),
  };
  return { path, samples, step };
}

/**
 * Arc length and y of the samples and of the margin's own points, and which of its points lies there or next before; all by
 * rising arc length, in which both come. Long margins are merged many times: sorting them as objects took most of the time.
 */
function merged(
  samples: Pick<EdgeOnPath, 'arc' | 'y'>,
  margin: MarginLine,
): { readonly arc: Float64Array; readonly y: Float64Array; readonly point: Uint32Array } {
  const count = samples.arc.length + margin.arc.length;
  const arc = new Float64Array(count);
  const y = new Float64Array(count);
  const point = new Uint32Array(count);
  let [sample, own] = [0, 0];
  for (let k = 0; k < count; k++) {
    const isSample =
      own === margin.arc.length || (sample < samples.arc.length && samples.arc[sample] <= margin.arc[own]);
    if (isSample) {
      arc[k] = samples.arc[sample];
      y[k] = samples.y[sample++];
      point[k] = indexAt(margin, arc[k]);
    } else {
      arc[k] = margin.arc[own];
      y[k] = margin.points[3 * own + 1];
      point[k] = own++;
    }
  }
  return { arc, y, point };
}

/** First and last index of rising values that lie within bounds. */
function within(values: Float64Array, from: number, to: number): readonly [number, number] {
  let first = 0;
  let last = values.length - 1;
  while (first < last && values[first] < from) first++;
  while (last > first && values[last] > to) last--;
  return [first, last];
}

/** Length over which neighbouring points of a calmed line err alike, mm. */
function alikeOver({ line }: ScanQuality): number {
  return line === undefined || !(line.plan > 0) ? 0 : line.spacing * (line.noise / line.plan) ** 2;
}

/** Noise of the least sure point of a margin within `reach` of an arc length, in plan and in height, mm. */
function noiseAround(
  margin: MarginLine,
  { line, noise }: ScanQuality,
  left: PointErrors | undefined,
  arc: number,
  reach: number,
): readonly [plan: number, height: number] {
  if (left === undefined) return [line?.plan ?? noise, line?.height ?? noise];
  const from = indexAt(margin, wrapArc(arc - reach, margin.length));
  const to = indexAt(margin, wrapArc(arc + reach, margin.length));
  return [greatestFrom(left.plan, from, to), greatestFrom(left.height, from, to)];
}

/** Greatest of the entries of a closed sequence from one index on to another, both included. */
function greatestFrom(values: Float64Array, from: number, to: number): number {
  let most = values[to];
  for (let i = from; i !== to; i = (i + 1) % values.length) most = Math.max(most, values[i]);
  return most;
}

/**
 * Variance of the length of a line in y–z, less that of its ends' distance, by what noise is left in its points, mm²: to
 * first order a point that is moved lengthens the line by as much as the line bends there. Points err alike over a stretch,
 * so that stretches and their bends count, each with the least sure of its points.
 */
function windingVariance(
  { y, z }: EdgeOnPath,
  [first, last]: readonly [number, number],
  stride: number,
  noiseNear: (i: number) => readonly [plan: number, height: number],
): number {
  const direction = (i: number, j: number): readonly [number, number] => {
    const dy = y[j] - y[i];
    const dz = z[j] - z[i];
    const size = Math.hypot(dy, dz) || 1;
    return [dy / size, dz / size];
  };
  const whole = direction(first, last);
  let before = whole;
  let sum = 0;
  const turn = (to: readonly [number, number], i: number): void => {
    const [plan, height] = noiseNear(i);
    sum += ((to[0] - before[0]) * plan) ** 2 + ((to[1] - before[1]) * height) ** 2;
    before = to;
  };
  let i = first;
  for (; i + stride <= last; i += stride) turn(direction(i, i + stride), i);
  turn(whole, i);
  return sum;
}

/**
 * A closed sequence without runs to and fro that are smaller than the `band` of either of their ends: between two turns that
 * are not, it never runs back. Where a margin runs square to the length, in a notch or under a barb, noise alone would lengthen it.
 */
function withoutJitter(values: Float64Array, band: Float64Array): Float64Array {
  const out = Float64Array.from(values);
  const n = out.length;
  // Last turn known for certain, and the way the run since then goes.
  let turn = 0;
  let sense = 0;
  // Half-way between the least line that never falls below what came before and the greatest that never rises above what
  // comes after, as the run rises: the same whichever way it is gone along.
  const settle = (to: number): void => {
    const [low, high] = [Math.min(values[turn], values[to]), Math.max(values[turn], values[to])];
    const within = (value: number): number => Math.min(high, Math.max(low, value));
    const furthest = sense > 0 ? Math.max : Math.min;
    const nearest = sense > 0 ? Math.min : Math.max;
    for (let i = turn + 1, before = values[turn]; i < to; i++) {
      before = furthest(before, within(values[i]));
      out[i] = before / 2;
    }
    for (let i = to - 1, after = values[to]; i > turn; i--) {
      after = nearest(after, within(values[i]));
      out[i] += after / 2;
    }
  };
  let extreme = 0;
  for (let i = 1; i < n; i++) {
    if (sense === 0) {
      if (Math.abs(values[i] - values[turn]) > Math.max(band[i], band[turn]))
        [sense, extreme] = [Math.sign(values[i] - values[turn]), i];
    } else if (sense * (values[i] - values[extreme]) > 0) extreme = i;
    else if (Math.abs(values[i] - values[extreme]) > Math.max(band[i], band[extreme])) {
      settle(extreme);
      [turn, extreme, sense] = [extreme, i, -sense];
    }
  }
  settle(extreme);
  return out;
}

/** How often a sequence turns from rising to falling or back, leaving out what is smaller than `band`. */
function turnbacks(values: Float64Array, band: number): number {
  let extreme = values[0];
  let sense = 0;
  let turns = 0;
  for (const v of values) {
    if (sense * (v - extreme) > 0) extreme = v;
    else if (Math.abs(v - extreme) > band) {
      if (sense !== 0) turns++;
      sense = Math.sign(v - extreme);
      extreme = v;
    }
  }
  return turns;
}
