import { type EllipticFourier, startedAt } from '../geometry/ellipticFourier.ts';
import type { AxisId, Model, ScanQuality } from '../trace/types.ts';
import { endRows } from './midline.ts';
import { type BrokenRows, brokenRows, isBroken } from './outlineBreaks.ts';
import { independentPoints, outlineComponents, pointError } from './outlineError.ts';
import type { Plan } from './outlinePlan.ts';
import type { Shared } from './shared.ts';
import { type AxisEnds, axisEnds, continuousSymmetry } from './symmetryFold.ts';
import { overlapAlong, overlapOfRest } from './symmetryOverlap.ts';
import type { Family, MeasureRow, Value } from './types.ts';
import { none } from './values.ts';

const AXES: readonly AxisId[] = ['mirror', 'principal', 'longest', 'tip-base'];
const PAIRS = 400;

const AXIS_NAMES: Readonly<Record<AxisId, string>> = {
  mirror: 'mirror axis',
  principal: 'principal axis',
  longest: 'longest axis',
  'tip-base': 'axis from base to tip',
};

const row = (
  id: string,
  name: string,
  unit: MeasureRow['unit'],
  definition: string,
  more: Partial<MeasureRow> = {},
): MeasureRow => ({
  id,
  name,
  unit,
  definition,
  source: 'own definition',
  needs: 'outline',
  axis: true,
  power: unit === 'mm' ? 1 : 0,
  ...more,
});

const ROWS: readonly MeasureRow[] = [
  row(
    'symmetry.overlap',
    'Mirror overlap',
    'percent',
    'Area common to the outline and its reflection in the length axis, over the area of the outline; 100 is perfect.',
    { source: 'practice' },
  ),
  ...AXES.map((axis) =>
    row(
      `symmetry.overlap.${axis}`,
      `Mirror overlap, ${AXIS_NAMES[axis]}`,
      'percent',
      `Area common to the outline and its reflection in the ${AXIS_NAMES[axis]}, over the area of the outline.`,
      { axis: false },
    ),
  ),
  row(
    'symmetry.difference',
    'Mirror difference',
    'percent',
    'Area of the symmetric difference of the outline and its reflection in the length axis, over twice the area of the outline: 100 − overlap.',
  ),
  row(
    'symmetry.rms',
    'Half-width difference',
    'percent',
    'Root mean square over all stations but the very ends of right less left half-width, over the greatest width.',
  ),
  row(
    'symmetry.worst',
    'Worst half-width difference',
    'mm',
    'Right less left half-width where it is greatest in magnitude; + where the right side is wider.',
  ),
  row(
    'symmetry.worst.station',
    'Station of the worst difference',
    'percent',
    'Where the half-widths differ most, percent of length from the base.',
  ),
  row(
    'symmetry.continuous',
    'Continuous symmetry measure',
    '1',
    `For a mirror on the length axis: ${PAIRS} pairs of points at equal shares of arc length on either side, from where the axis leaves the outline at the tip to where it leaves at the base, folded and averaged; 100·Σ|P − P̂|² / Σ|P − centroid|²; 0 is perfect.`,
    { source: 'Zabrodsky, Peleg & Avnir 1995' },
  ),
  row(
    'symmetry.fourier',
    'Fourier asymmetry',
    'percent',
    'Share of elliptic Fourier power, harmonics 1–20, in the terms that a mirror-symmetric outline cannot have (cosine terms of x, sine terms of y; start where the axis leaves the outline at the tip).',
    { source: 'own definition after Kuhl & Giardina 1982' },
  ),
  row(
    'faces.balance',
    'Volume on Face A',
    'percent',
    'Volume above the margin plane over the whole volume: 50 is biconvex, towards 100 or 0 plano-convex.',
    { needs: 'faces', axis: false },
  ),
];

export const symmetry: Family = {
  id: 'symmetry',
  title: 'Symmetry',
  rows: ROWS,
  compute(model, settings, shared) {
    const broken = brokenRows(model, settings);
    const half = halfWidths(model, broken);
    const values: Record<string, Value> = {
      ...overlaps(model, shared, broken, half),
      ...differences(model, shared.plan, half),
      ...folded(model, shared, broken),
    };
    if (model.surface !== undefined) values['faces.balance'] = shared.body.balance;
    return { values, series: { halfWidths: { ...half } } };
  },
};

interface HalfWidths extends Record<string, Float64Array> {
  readonly station: Float64Array;
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** Right less left; NaN at stations that a marked break covers. */
  readonly difference: Float64Array;
}

function halfWidths(model: Model, broken: readonly BrokenRows[]): HalfWidths {
  const { station, y, leftX, rightX } = model.midline;
  return {
    station,
    left: leftX.map((x) => -x),
    right: rightX,
    difference: rightX.map((x, k) => (isBroken(broken, y[k]) ? NaN : x + leftX[k])),
  };
}

/** By how much errors of the margins add to the mean size of right less left, mm: most where there is little between them. */
function falseDifference({ difference }: HalfWidths, quality: ScanQuality): number {
  const { noise, resolution } = pointError(quality);
  // The mean size of a normal error of standard deviation e is e·√(2/π).
  const error = Math.SQRT2 * Math.hypot(noise, resolution) * Math.sqrt(2 / Math.PI);
  let sum = 0;
  let count = 0;
  for (const d of difference) {
    if (Number.isNaN(d)) continue;
    sum += Math.hypot(d, error) - Math.abs(d);
    count++;
  }
  return count > 0 ? sum / count : 0;
}

function overlaps(
  model: Model,
  shared: Shared,
  broken: readonly BrokenRows[],
  half: HalfWidths,
): Record<string, Value> {
  const { quality, length } = model;
  const { plan } = shared;
  const current = broken.length === 0 ? shared.overlap : overlapOfRest(plan.rings, broken, length);
  if (Number.isNaN(current)) {
    const lost = none('marked breaks cover the whole length');
    const ids = ['overlap', 'difference', ...AXES.map((axis) => `overlap.${axis}`)];
    return Object.fromEntries(ids.map((id) => [`symmetry.${id}`, lost]));
  }
  // In each row the errors of both margins count, one against the other.
  const slope = (100 * Math.SQRT2 * length) / plan.area;
  const components = {
    ...outlineComponents(quality, slope, independentPoints(quality, length)),
    tracing: (100 * length * falseDifference(half, quality)) / plan.area / Math.sqrt(3),
  };
  const values: Record<string, Value> = {
    'symmetry.overlap': { value: current, components },
    'symmetry.difference': { value: 100 - current, components },
  };
  for (const axis of AXES) {
    const id = `symmetry.overlap.${axis}`;
    if (isCurrent(model, axis)) values[id] = { value: current, components };
    else if (axis === 'tip-base') values[id] = none('no base and tip were placed');
    else if (broken.length > 0) values[id] = none('with marked breaks only the chosen axis is compared');
    else values[id] = { value: overlapAlong(model, plan.rings, axis), components };
  }
  return values;
}

/** The line of that name is the one that the piece lies along (an automatic one may have been nudged by hand). */
function isCurrent({ frame }: Model, axis: AxisId): boolean {
  if (axis === 'tip-base') return frame.axis === axis;
  const { angle, x } = frame.axes[axis];
  return Math.abs(angle) < 1e-9 && Math.abs(x) < 1e-9;
}

function differences(model: Model, plan: Plan, half: HalfWidths): Record<string, Value> {
  const { quality, length } = model;
  const width = plan.greatest.right - plan.greatest.left;
  let squares = 0;
  let count = 0;
  let worst = -1;
  const { difference, station } = half;
  // At the very ends there is no chord, only the outermost point, which on a flat base is left to chance.
  for (let k = 1; k < difference.length - 1; k++) {
    if (Number.isNaN(difference[k])) continue;
    // Each end counts as its neighbour does, by half.
    const weight = k === 1 || k === difference.length - 2 ? 1.5 : 1;
    squares += weight * difference[k] ** 2;
    count += weight;
    if (worst < 0 || Math.abs(difference[k]) > Math.abs(difference[worst])) worst = k;
  }
  if (count === 0) {
    const lost = none('marked breaks cover the whole length');
    return { 'symmetry.rms': lost, 'symmetry.worst': lost, 'symmetry.worst.station': lost };
  }
  const rms = Math.sqrt(squares / count);
  const { noise, resolution } = pointError(quality);
  const points = independentPoints(quality, length);
  // Errors add to the mean square, and shift it at random.
  const error = Math.SQRT2 * Math.hypot(noise, resolution);
  const inflation = (Math.hypot(rms, error) - rms) / Math.sqrt(3);
  return {
    'symmetry.rms': {
      value: (100 * rms) / width,
      components: {
        tracing:
          (100 / width) *
          Math.hypot(inflation, error / Math.sqrt(points), endRows(model, plan, difference, rms)),
      },
    },
    'symmetry.worst': { value: difference[worst], components: outlineComponents(quality, Math.SQRT2) },
    'symmetry.worst.station': {
      value: station[worst],
      components: { tracing: nearWorst(half, worst, error) },
    },
  };
}

/** Half the spread of stations that are as bad within the error of a difference: a rectangular error, percent. */
function nearWorst({ difference, station }: HalfWidths, worst: number, error: number): number {
  let low = worst;
  let high = worst;
  for (let k = 0; k < difference.length; k++) {
    if (Math.abs(difference[k]) < Math.abs(difference[worst]) - error) continue;
    if (Math.sign(difference[k]) !== Math.sign(difference[worst])) continue;
    low = Math.min(low, k);
    high = Math.max(high, k);
  }
  const step = station.length > 1 ? station[1] - station[0] : 0;
  return Math.max(step, station[high] - station[low]) / 2 / Math.sqrt(3);
}

function folded(model: Model, shared: Shared, broken: readonly BrokenRows[]): Record<string, Value> {
  const ids = ['symmetry.continuous', 'symmetry.fourier'] as const;
  const ends = broken.length > 0 ? null : axisEnds(model.outline.outer);
  if (ends === null) {
    const why = none(
      broken.length > 0 ? 'needs the whole outline: a break is marked' : 'the axis misses the outline',
    );
    return { [ids[0]]: why, [ids[1]]: why };
  }
  const continuous = continuousSymmetry(ends, PAIRS);
  const fourier = fourierAsymmetry(shared.fourier, ends);
  // Both are shares of squared deviations d²/R²: an error e adds (2de + e²)/R², R the mean radius squared.
  const { noise, resolution } = pointError(model.quality);
  const error = Math.hypot(noise, resolution);
  const radius = model.length / 4;
  const points = independentPoints(model.quality, 2 * model.length);
  const shift = (share: number): number => {
    const deviation = Math.sqrt(share / 100) * radius;
    return (100 * ((2 * deviation * error) / Math.sqrt(points) + error * error)) / radius ** 2;
  };
  return {
    [ids[0]]: { value: continuous, components: { tracing: shift(continuous) } },
    [ids[1]]: { value: fourier, components: { tracing: shift(fourier) } },
  };
}

function fourierAsymmetry(fourier: EllipticFourier, { curve, tip }: AxisEnds): number {
  const { a, b, c, d } = startedAt(fourier, tip / curve.length);
  let all = 0;
  let uneven = 0;
  for (let i = 0; i < a.length; i++) {
    const odd = a[i] ** 2 + d[i] ** 2;
    uneven += odd;
    all += odd + b[i] ** 2 + c[i] ** 2;
  }
  return (100 * uneven) / all;
}
