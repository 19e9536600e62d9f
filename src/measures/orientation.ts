import { turnedFourier } from '../geometry/ellipticFourier.ts';
import { alignRing, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Points3 } from '../geometry/types.ts';
import { traceMidline } from '../trace/midline.ts';
import {
  type MarginLine,
  type Midline,
  type Model,
  type Outline,
  type ScanQuality,
  SIDES,
} from '../trace/types.ts';
import { edgeLine } from './edgeLine.ts';
import { midline } from './midline.ts';
import { outline } from './outline.ts';
import { pointError } from './outlineError.ts';
import { movedPlan } from './outlinePlan.ts';
import { highestPoint } from './outlineTips.ts';
import { type PlaneTilt, planeTilt } from './planeTilt.ts';
import { ratios } from './ratios.ts';
import { SECTION_STATIONS } from './sectionCuts.ts';
import { createShared, type Shared } from './shared.ts';
import { symmetry } from './symmetry.ts';
import type { Family, FamilyResult, MeasureSettings } from './types.ts';

/** The mirror axis passes through the midline at two places about half a length apart: its turn goes by their errors. */
const SPAN_OF_AXIS = 0.5;

/**
 * So many times as far as one point of the outline the mirror axis errs at either of those places (on generated pieces): it
 * rests on many points, but on their differences and not on their squares, as a median does, and neighbours err alike.
 */
const OF_A_POINT = 0.92;

/** An overlap is so flat at its greatest that the axis is found to this only, mm. */
const SETTLED = 0.004;

/** Families whose measures need no faces: they can be taken again under another axis at little cost. */
const PLAN_FAMILIES: readonly Family[] = [outline, midline, symmetry, edgeLine, ratios];
/** Those of them that change when the axis is moved aside: extents, ends and ratios do not. */
const ASIDE_FAMILIES: readonly Family[] = [midline, symmetry, edgeLine];
const AXES = ['mirror', 'principal', 'longest'] as const;
const ON_AXIS = { angle: 0, x: 0 };
const CERTAIN: ScanQuality = { meanEdge: 0, noise: 0 };

/**
 * What the choice of the length axis is worth, a matter of definition and not of error: every axis-dependent measure of outline and margin taken again under each of the
 * three automatic axes, and the standard deviation of the three results. By measure id, in the measure's unit.
 * A measure that has no number under one of them has no entry.
 *
 * @param own what was measured under the chosen axis, where that is known: its overlaps are not worked out again
 */
export function orientationSpread(
  model: Model,
  settings: MeasureSettings,
  shared = createShared(model, settings),
  own?: Values,
): ReadonlyMap<string, number> {
  const runs = AXES.map((axis): Values => {
    const { angle, x } = model.frame.axes[axis];
    // A margin is parted into sides anew under each axis, by which its measures are compared like with like.
    const overlap = model.margin === undefined ? own?.[`symmetry.overlap.${axis}`]?.value : undefined;
    return valuesUnder(
      model,
      settings,
      shared,
      { angle, x },
      PLAN_FAMILIES,
      typeof overlap === 'number' ? overlap : undefined,
    );
  });
  return condensed(runs, PLAN_FAMILIES, standardDeviation);
}

/**
 * What the uncertainty of the frame itself is worth: the same measures with the axis moved either way by the standard
 * uncertainty of its direction and of its place, as far as the errors of the outline let it move, and with the margin plane
 * tilted as far as its walls let it tilt; half the differences. By id.
 */
export function axisError(
  model: Model,
  settings: MeasureSettings,
  shared = createShared(model, settings),
): ReadonlyMap<string, number> {
  const { noise, resolution } = pointError(model.quality);
  const error = OF_A_POINT * Math.hypot(noise, resolution, SETTLED);
  // Middles of two margins each, so that their errors are 1/√2 of a margin's, and the two make √2 of them.
  const turn = (error / (SPAN_OF_AXIS * model.length)) * (180 / Math.PI);
  // Turned and moved one at a time, as they err independently: together they would help or hinder each other by chance.
  const { roll, pitch } = planeTilt(model);
  const ways: readonly AxisLine[] = [
    { angle: turn, x: 0 },
    { angle: 0, x: error / 2 },
    ...(roll > 0 ? [{ ...ON_AXIS, roll, pitch: 0 }] : []),
    ...(pitch > 0 ? [{ ...ON_AXIS, roll: 0, pitch }] : []),
  ];
  const halves = ways.map((way) => {
    const families = isAside(way) ? ASIDE_FAMILIES : PLAN_FAMILIES;
    const runs = [opposite(way), way].map((line) => valuesUnder(model, settings, shared, line, families));
    return { families, by: condensed(runs, families, ([one, other]) => (other - one) / 2) };
  });
  const errors = new Map<string, number>();
  for (const family of PLAN_FAMILIES) {
    const moved = halves.filter(({ families }) => families.includes(family));
    for (const { id } of family.rows) {
      const parts = moved.map(({ by }) => by.get(id));
      if (parts.every((part) => part !== undefined)) errors.set(id, Math.hypot(...parts));
    }
  }
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

function isTilted({ roll = 0, pitch = 0 }: AxisLine): boolean {
  return roll !== 0 || pitch !== 0;
}

/** Whether a line only lies beside the chosen axis. */
function isAside(line: AxisLine): boolean {
  return line.angle === 0 && !isTilted(line);
}

/** By measure id. */
type Values = FamilyResult['values'];

/** Measures of outline and margin taken with a line as axis. */
function valuesUnder(
  model: Model,
  settings: MeasureSettings,
  shared: Shared,
  line: AxisLine,
  families: readonly Family[],
  overlap?: number,
): Values {
  const plan = isAside(line) ? planAside(model, line.x) : planUnder(model, line);
  const known = createShared(plan, settings, {
    ...(isTilted(line) ? {} : { fourier: () => turnedFourier(shared.fourier, (line.angle * Math.PI) / 180) }),
    ...(overlap === undefined ? {} : { overlap }),
    ...(isAside(line) ? { plan: () => movedPlan(shared.plan, -line.x) } : {}),
  });
  return Object.assign(
    {},
    ...families.map(
      (family) => family.alongAxis?.(plan, settings, known) ?? family.compute(plan, settings, known).values,
    ),
  );
}

/** Several runs of the same measures, those of outline and margin that depend on the axis, condensed to one number each. */
function condensed(
  runs: readonly Values[],
  families: readonly Family[],
  condense: (values: readonly number[]) => number,
): ReadonlyMap<string, number> {
  const out = new Map<string, number>();
  for (const { rows } of families) {
    for (const { id, axis, needs } of rows) {
      if (!axis || needs === 'faces') continue;
      const values = runs.map((run) => run[id]?.value);
      if (values.every((value) => typeof value === 'number')) out.set(id, condense(values));
    }
  }
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
  const { margin } = model;
  return planOf(
    model,
    plan,
    traceMidline(plan, length, model.midline.x.length),
    length,
    margin && turnedMargin(margin, turn, offset, low, length),
  );
}

/** The same with the axis moved aside to an x, mm: nothing else changes. */
function planAside(model: Model, x: number): Model {
  const { outline, midline, margin, length } = model;
  const aside = (ring: Points2): Points2 => alignRing(ring, 0, x);
  const leftX = midline.leftX.map((left) => left - x);
  const rightX = midline.rightX.map((right) => right - x);
  return planOf(
    model,
    { outer: aside(outline.outer), inner: outline.inner.map(aside) },
    { ...midline, leftX, rightX, x: midline.x.map((middle) => middle - x) },
    length,
    margin && turnedMargin(margin, 0, x, 0, length),
  );
}

/** What outline and margin are measured by; the line that they lie along is the axis. */
function planOf(
  model: Model,
  outline: Outline,
  midline: Midline,
  length: number,
  margin: MarginLine | undefined,
): Model {
  return {
    frame: { ...model.frame, axes: { mirror: ON_AXIS, principal: ON_AXIS, longest: ON_AXIS } },
    outline,
    midline,
    length,
    ...(margin ? { margin } : {}),
    // Only values are wanted of it, and what does not err is measured sooner; what is read along a margin goes by its noise.
    quality: margin === undefined ? CERTAIN : model.quality,
    scaleUncertainty: model.scaleUncertainty,
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
