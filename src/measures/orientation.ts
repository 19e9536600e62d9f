import { alignRing, rangeY } from '../geometry/polygonMoments.ts';
import type { Points3 } from '../geometry/types.ts';
import { traceMidline } from '../trace/midline.ts';
import { type Frame, type MarginLine, type Model, type ScanQuality, SIDES } from '../trace/types.ts';
import { edgeLine } from './edgeLine.ts';
import { midline } from './midline.ts';
import { outline } from './outline.ts';
import { pointError } from './outlineError.ts';
import { highestPoint } from './outlineTips.ts';
import { type PlaneTilt, planeTilt } from './planeTilt.ts';
import { ratios } from './ratios.ts';
import { SECTION_STATIONS } from './sectionCuts.ts';
import { createShared } from './shared.ts';
import { symmetry } from './symmetry.ts';
import type { Family, MeasureSettings } from './types.ts';

/** The mirror axis passes through the midline at two places about half a length apart: its turn goes by their errors. */
const SPAN_OF_AXIS = 0.5;

/**
 * So many times as far as one point of the outline the mirror axis errs at either of those places (on generated pieces): it
 * rests on many points, but on their differences and not on their squares, as a median does, and neighbours err alike.
 */
const OF_A_POINT = 0.88;

/** An overlap is so flat at its greatest that the axis is found to this only, mm. */
const SETTLED = 0.004;

/** Families whose measures need no faces: they can be taken again under another axis at little cost. */
const PLAN_FAMILIES: readonly Family[] = [outline, midline, symmetry, edgeLine, ratios];
const AXES = ['mirror', 'principal', 'longest'] as const;
const ON_AXIS = { angle: 0, x: 0 };
const CERTAIN: ScanQuality = { meanEdge: 0, noise: 0 };

/**
 * What the choice of the length axis is worth, a matter of definition and not of error: every axis-dependent measure of outline and margin taken again under each of the
 * three automatic axes, and the standard deviation of the three results. By measure id, in the measure's unit.
 * A measure that has no number under one of them has no entry.
 */
export function orientationSpread(model: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  return across(
    model,
    settings,
    AXES.map((axis) => model.frame.axes[axis]),
    standardDeviation,
  );
}

/**
 * What the uncertainty of the frame itself is worth: the same measures with the axis moved either way by the standard
 * uncertainty of its direction and of its place, as far as the errors of the outline let it move, and with the margin plane
 * tilted as far as its walls let it tilt; half the differences. By id.
 */
export function axisError(model: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  const { noise, resolution } = pointError(model.quality);
  const error = OF_A_POINT * Math.hypot(noise, resolution, SETTLED);
  // Middles of two margins each, so that their errors are 1/√2 of a margin's, and the two make √2 of them.
  const turn = (error / (SPAN_OF_AXIS * model.length)) * (180 / Math.PI);
  // Turned and moved one at a time, as they err independently: together they would help or hinder each other by chance.
  const { roll, pitch } = planeTilt(model);
  const ways = [
    { angle: turn, x: 0 },
    { angle: 0, x: error / 2 },
    ...(roll > 0 ? [{ ...ON_AXIS, roll, pitch: 0 }] : []),
    ...(pitch > 0 ? [{ ...ON_AXIS, roll: 0, pitch }] : []),
  ];
  const lines = ways.flatMap((way) => [opposite(way), way]);
  const errors = across(model, settings, lines, halfDifferences);
  return new Map([...errors, ...sectionWidths(errors)]);
}

/** A section is as wide as the outline at its station. */
function sectionWidths(errors: ReadonlyMap<string, number>): (readonly [string, number])[] {
  return SECTION_STATIONS.flatMap((station) => {
    const error = errors.get(`width.at.${station}`);
    return error === undefined ? [] : [[`section.${station}.width`, error] as const];
  });
}

function opposite({ angle, x, roll = 0, pitch = 0 }: AxisLine): AxisLine {
  return { angle: -angle, x: -x, roll: -roll, pitch: -pitch };
}

/** Root sum of squares of half the differences of pairs. */
function halfDifferences(values: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < values.length; i += 2) sum += ((values[i + 1] - values[i]) / 2) ** 2;
  return Math.sqrt(sum);
}

/** Measures of outline and margin that depend on the axis, taken under several lines as axis and condensed to one number. */
function across(
  model: Model,
  settings: MeasureSettings,
  lines: readonly AxisLine[],
  condense: (values: readonly number[]) => number,
): ReadonlyMap<string, number> {
  const runs = lines.map((line) => {
    const plan = planUnder(model, line);
    const shared = createShared(plan, settings);
    return PLAN_FAMILIES.map(
      (family) => family.alongAxis?.(plan, settings, shared) ?? family.compute(plan, settings, shared).values,
    );
  });
  const out = new Map<string, number>();
  PLAN_FAMILIES.forEach((family, f) => {
    for (const row of family.rows) {
      if (!row.axis || row.needs === 'faces') continue;
      const values = runs.map((run) => run[f][row.id]?.value);
      if (values.every((value) => typeof value === 'number')) out.set(row.id, condense(values));
    }
  });
  return out;
}

/**
 * A line as seen from the chosen axis: turn in degrees, and the x in mm at which it crosses mid-length; and a tilt of the margin
 * plane under it in radians, about y (roll) and about x (pitch).
 */
interface AxisLine extends Partial<PlaneTilt> {
  readonly angle: number;
  readonly x: number;
}

/** The outline and the margin as they lie with another axis as y, and on another plane; no faces. */
function planUnder(level: Model, { angle, x, roll = 0, pitch = 0 }: AxisLine): Model {
  const model = roll === 0 && pitch === 0 ? level : tilted(level, roll, pitch);
  const turn = (angle * Math.PI) / 180;
  const offset = x * Math.cos(turn) + (model.length / 2) * Math.sin(turn);
  const rings = [model.outline.outer, ...model.outline.inner].map((ring) => alignRing(ring, turn, offset));
  const { min: low, max: high } = rangeY(rings[0]);
  for (const ring of rings) for (let i = 1; i < ring.length; i += 2) ring[i] -= low;
  const plan = { outer: rings[0], inner: rings.slice(1) };
  const length = high - low;
  const frame: Frame = { ...model.frame, axes: { mirror: ON_AXIS, principal: ON_AXIS, longest: ON_AXIS } };
  const { margin, scaleUncertainty } = model;
  // Only values are wanted of it, and what does not err is measured sooner; what is read along a margin goes by its noise.
  const quality = margin === undefined ? CERTAIN : model.quality;
  return {
    frame,
    outline: plan,
    midline: traceMidline(plan, length, model.midline.x.length),
    length,
    ...(margin ? { margin: turnedMargin(margin, turn, offset, low, length) } : {}),
    quality,
    scaleUncertainty,
    warnings: [],
  };
}

/** Seen along a line a little aslant: to first order each point of the margin moves by its height times the tilt. */
function tilted(model: Model, roll: number, pitch: number): Model {
  const { margin, outline } = model;
  if (margin === undefined) return model;
  const n = outline.outer.length / 2;
  const tip = highestPoint(outline.outer);
  const outer = Float64Array.from(outline.outer);
  const points = Float64Array.from(margin.points);
  for (let k = 0; k < n; k++) {
    const [x, y, z] = [points[3 * k], points[3 * k + 1], points[3 * k + 2]];
    points[3 * k] = x + roll * z;
    points[3 * k + 1] = y + pitch * z;
    points[3 * k + 2] = z - roll * x - pitch * y;
    // The margin is the outline from its tip, the other way round.
    const i = (tip - k + n) % n;
    outer[2 * i] += roll * z;
    outer[2 * i + 1] += pitch * z;
  }
  return { ...model, margin: { ...margin, points }, outline: { ...outline, outer } };
}

/** Arc lengths stay, and with them the marked breaks; sides go by the new stations. */
function turnedMargin(
  margin: MarginLine,
  turn: number,
  offset: number,
  low: number,
  length: number,
): MarginLine {
  const points = Float64Array.from(margin.points);
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  for (let i = 0; i < points.length; i += 3) {
    points[i] = margin.points[i] * c + margin.points[i + 1] * s - offset;
    points[i + 1] = margin.points[i + 1] * c - margin.points[i] * s - low;
  }
  // In the order in which a margin is traced: objects laid out alike share what is compiled for them.
  return { points, arc: margin.arc, length: margin.length, side: sidesOf(points, length) };
}

/** Clockwise from the tip: right down to the lowest point, left from there on. */
function sidesOf(points: Points3, length: number): Uint8Array {
  const side = new Uint8Array(points.length / 3);
  let lowest = 0;
  for (let k = 0; k < side.length; k++) if (points[3 * k + 1] < points[3 * lowest + 1]) lowest = k;
  for (let k = 0; k < side.length; k++) {
    const y = points[3 * k + 1];
    const name = y > 0.95 * length ? 'tip' : y < 0.05 * length ? 'base' : k <= lowest ? 'right' : 'left';
    side[k] = SIDES.indexOf(name);
  }
  return side;
}

function standardDeviation(values: readonly number[]): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
}
