import { alignRing } from '../../geometry/polygonMoments.ts';
import { MM_PER_UNIT } from '../../intake/types.ts';
import type { MeasureSettings } from '../../measures/types.ts';
import type { SpecimenRecord } from '../../record/schema.ts';
import { endAreas } from '../../trace/planFrame.ts';
import type { TraceSettings } from '../../trace/types.ts';

/** What was marked by hand is said along the piece as it lies; when the piece is laid otherwise, it is said otherwise. */

/**
 * Nudges of the axis after a change of the other settings: they are as seen on Face A with the tip up, so that swapping
 * faces or ends turns them about.
 */
export function keptNudges(before: TraceSettings, after: TraceSettings): TraceSettings {
  const overFace = before.flipFace !== after.flipFace;
  const overTip = before.flipTip !== after.flipTip;
  const sign = (turned: boolean, value: number): number => (turned && value !== 0 ? -value : value);
  return {
    ...after,
    nudgeAngle: after.nudgeAngle === before.nudgeAngle ? sign(overFace, after.nudgeAngle) : after.nudgeAngle,
    nudgeShift:
      after.nudgeShift === before.nudgeShift
        ? sign(overFace !== overTip, after.nudgeShift)
        : after.nudgeShift,
  };
}

/** Breaks and stretches left out, after the piece is laid otherwise: the same places of its margin. */
export function keptStretches(
  record: SpecimenRecord,
  measure: MeasureSettings,
  before: TraceSettings,
  after: TraceSettings,
): MeasureSettings {
  const { breaks, excluded } = measure;
  if (record.margin.length < 3 || (breaks.length === 0 && excluded === undefined)) return measure;
  const from = layOf(record, before);
  const to = layOf(record, after);
  if (from.tip === to.tip && from.isReversed === to.isReversed) return measure;
  const whole = lengthRound(record);
  const wrap = (s: number): number => s - Math.floor(s / whole) * whole;
  const moved = (s: number): number => {
    const here = from.tip + (from.isReversed ? -s : s);
    return wrap(to.isReversed ? to.tip - here : here - to.tip);
  };
  const stretch = (start: number, end: number): [number, number] =>
    from.isReversed === to.isReversed ? [moved(start), moved(end)] : [moved(end), moved(start)];
  return {
    ...measure,
    breaks: breaks.map(([start, end]) => stretch(start, end)),
    ...(excluded && {
      excluded: excluded.map((one) => {
        const [start, end] = stretch(one.from, one.to);
        return { ...one, from: start, to: end };
      }),
    }),
  };
}

/** How other settings lay the margin of a record: where on it they have the tip, mm of arc length, and which way they run. */
function layOf(record: SpecimenRecord, trace: TraceSettings): { tip: number; isReversed: boolean } {
  const { margin, settings } = record;
  const isReversed = trace.flipFace !== settings.trace.flipFace;
  const angle = axisAngle(record, trace);
  const [up, right] = [Math.cos(angle), -Math.sin(angle)];
  let tip = margin[0];
  for (const point of margin) {
    if (right * point.x + up * point.y > right * tip.x + up * tip.y) tip = point;
  }
  return { tip: tip.s, isReversed };
}

/** Direction from base to tip that settings give, radians counter-clockwise from that of the record on its Face A. */
function axisAngle(record: SpecimenRecord, trace: TraceSettings): number {
  const { frame, source, settings } = record;
  const nudge = ((trace.flipFace === settings.trace.flipFace ? 1 : -1) * trace.nudgeAngle * Math.PI) / 180;
  if (trace.axis === 'tip-base' && trace.base !== undefined && trace.tip !== undefined) {
    const m = frame.matrix;
    const unit = source.kind === 'scan' ? MM_PER_UNIT[source.unit] : 1;
    const way = trace.tip.map((value, axis) => (value - (trace.base?.[axis] ?? 0)) / unit);
    const [x, y] = [0, 1].map((row) => m[row] * way[0] + m[4 + row] * way[1] + m[8 + row] * way[2]);
    return Math.atan2(-x, y) + nudge + (trace.flipTip ? Math.PI : 0);
  }
  const turn = trace.axis === 'tip-base' ? 0 : (frame.axes[trace.axis].angle * Math.PI) / 180;
  // Where the ends were placed by hand, the rule that decides otherwise may have the tip at the other one.
  const over =
    settings.trace.axis === 'tip-base'
      ? tipIsDown(record, turn) !== trace.flipTip
      : trace.flipTip !== settings.trace.flipTip;
  return turn + nudge + (over ? Math.PI : 0);
}

function tipIsDown({ outline }: SpecimenRecord, angle: number): boolean {
  const rings = [outline.outer, ...outline.inner].map((ring) =>
    alignRing(Float64Array.from(ring.flat()), angle, 0),
  );
  const { base, tip } = endAreas(rings);
  return tip > base;
}

/** All the way round the margin, mm. */
function lengthRound({ margin }: SpecimenRecord): number {
  const [first, last] = [margin[0], margin[margin.length - 1]];
  return last.s + Math.hypot(first.x - last.x, first.y - last.y, first.z - last.z);
}
