import { alignRing, areaBelow, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import { type AutomaticAxes, type AxisLine, automaticAxes, facing, lineThrough } from './lengthAxis.ts';
import { traceMidline } from './midline.ts';
import { type Frame, type Midline, type Outline, TraceError, type TraceSettings } from './types.ts';

/** A plan whose second moments differ by less has no length of its own. */
const ROUND = 1.04;

/** Placed ends nearer to each other than this share of the plan's size (root of its area) are one place. */
const NEAREST = 0.05;

/** The length axis of a plan, pointing from base to tip. */
export interface PlanChoice {
  readonly axes: AutomaticAxes;
  readonly line: AxisLine;
  readonly warnings: readonly Warning[];
}

/**
 * Chooses the length axis of a plan (rings: outer counter-clockwise, holes clockwise; mm) and which end is the tip; by
 * hand it may be `nudged` after that.
 * `toPlan` brings a placed point of the settings into the plan's coordinates. Throws a TraceError where axis `tip-base`
 * lacks its points or where they are one place.
 */
export function choosePlanAxis(
  plan: readonly Points2[],
  settings: TraceSettings,
  toPlan: (point: readonly [number, number, number]) => readonly [number, number],
): PlanChoice {
  const warnings: Warning[] = [];
  const axes = automaticAxes(plan);
  if (axes.roundness < ROUND) {
    warnings.push({
      code: 'axis-undefined',
      text: 'The plan is nearly round: no direction is its length, and every measure that depends on the axis is arbitrary.',
    });
  }
  const axis = chosenAxis(axes, settings, toPlan, Math.sqrt(polygonMoments(plan).area));
  const ends = endAreas(plan.map((ring) => alignRing(ring, axis.angle, axis.offset)));
  const likeness = ends.base / ends.tip;
  if (settings.axis !== 'tip-base' && likeness > 0.9 && likeness < 1 / 0.9) {
    warnings.push({
      code: 'ends-alike',
      text: 'The two ends hold nearly the same area: check which one is the tip, and flip it if need be.',
    });
  }
  const upsideDown = (settings.axis !== 'tip-base' && ends.tip > ends.base) !== settings.flipTip;
  const line = upsideDown ? { angle: axis.angle + Math.PI, offset: -axis.offset } : axis;
  return { axes, line, warnings };
}

/** The same choice as the plan turned about y shows it: right and left have changed places. */
export function seenFromBehind({ axes, line, warnings }: PlanChoice): PlanChoice {
  const over = ({ angle, offset }: AxisLine): AxisLine => ({ angle: -angle, offset: -offset });
  const { mirror, principal, longest, roundness } = axes;
  return {
    axes: { mirror: over(mirror), principal: over(principal), longest: over(longest), roundness },
    line: over(line),
    warnings,
  };
}

/** The axis nudged as its settings say: as it is seen with the tip up. */
export function nudged(
  choice: PlanChoice,
  { nudgeAngle, nudgeShift }: Pick<TraceSettings, 'nudgeAngle' | 'nudgeShift'>,
): PlanChoice {
  const { angle, offset } = choice.line;
  return { ...choice, line: { angle: angle + (nudgeAngle * Math.PI) / 180, offset: offset + nudgeShift } };
}

function chosenAxis(
  axes: AutomaticAxes,
  settings: TraceSettings,
  toPlan: (point: readonly [number, number, number]) => readonly [number, number],
  extent: number,
): AxisLine {
  if (settings.axis === 'tip-base') {
    if (settings.base === undefined || settings.tip === undefined) {
      throw new TraceError(
        'axis-points-missing',
        'Axis tip-base needs a placed base midpoint and a placed tip.',
      );
    }
    const base = toPlan(settings.base);
    const tip = toPlan(settings.tip);
    if (Math.hypot(tip[0] - base[0], tip[1] - base[1]) < NEAREST * extent) {
      throw new TraceError(
        'axis-points-alike',
        'The placed base midpoint and tip lie nearly on each other: they give no direction.',
      );
    }
    return lineThrough(...base, ...tip);
  }
  return axes[settings.axis];
}

/** Plan area within 15 % of the length of either end, of rings aligned to a length axis. */
export function endAreas(rings: readonly Points2[]): { base: number; tip: number } {
  const { min, max } = rangeY(rings[0]);
  const reach = 0.15 * (max - min);
  return { base: areaBelow(rings, min + reach), tip: areaBelow(rings, max) - areaBelow(rings, max - reach) };
}

/** A plan laid along its length axis, mm: axis on x = 0, base end on y = 0. */
export interface LaidPlan {
  readonly outline: Outline;
  readonly midline: Midline;
  readonly length: number;
  /** Along the axis, from the plan's own origin to the base end. */
  readonly base: number;
  readonly axes: Frame['axes'];
}

export function layPlan(plan: readonly Points2[], { axes, line }: PlanChoice, stations: number): LaidPlan {
  const rings = plan.map((ring) => alignRing(ring, line.angle, line.offset));
  const { min, max } = rangeY(rings[0]);
  for (const ring of rings) for (let i = 1; i < ring.length; i += 2) ring[i] -= min;
  const length = max - min;
  const outline = { outer: rings[0], inner: rings.slice(1) };
  return {
    outline,
    midline: traceMidline(outline, length, stations),
    length,
    base: min,
    axes: {
      mirror: seenFrom(axes.mirror, line, min, length),
      principal: seenFrom(axes.principal, line, min, length),
      longest: seenFrom(axes.longest, line, min, length),
    },
  };
}

/** Another axis in the frame of the chosen one: its turn in degrees and its x at mid-length. */
function seenFrom(
  other: AxisLine,
  chosen: AxisLine,
  base: number,
  length: number,
): { angle: number; x: number } {
  const line = facing(other, chosen.angle);
  const turn = line.angle - chosen.angle;
  const angle = Math.atan2(Math.sin(turn), Math.cos(turn));
  // x cos + y sin = offset, with y counted from the frame's coordinate origin before the base was moved to 0.
  const y = base + length / 2;
  const x = (line.offset - y * Math.sin(angle)) / Math.cos(angle) - chosen.offset;
  return { angle: (angle * 180) / Math.PI, x };
}
