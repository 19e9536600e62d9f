import { invert3 } from '../../geometry/homography.ts';
import { alignRing } from '../../geometry/polygonMoments.ts';
import { imageToPlane, planeToImage, type SeenPlane } from '../../intake/scaleMap.ts';
import { MM_PER_UNIT, type ScanSettings } from '../../intake/types.ts';
import type { MeasureSettings } from '../../measures/types.ts';
import type { PhotoSource, SpecimenRecord } from '../../record/schema.ts';
import type { AllSettings } from '../../record/settings.ts';
import { endAreas } from '../../trace/planFrame.ts';
import type { TraceSettings } from '../../trace/types.ts';

/**
 * What was marked by hand is said along the piece as it lies, in millimetres; when the piece is laid otherwise, or its
 * file is read in another unit, it is said otherwise.
 */

/** Settings after a change, with marks that the change does not speak of at the same places of the stone. */
export function onStone(record: SpecimenRecord, before: AllSettings, after: AllSettings): AllSettings {
  const was = scaleOver(record, before.scan);
  const is = scaleOver(record, after.scan);
  const trace = keptNudges(before.trace, keptPlaces(before.trace, after.trace, is / was));
  const marked = scaledStretches(after.measure, 1 / was);
  const kept = keptStretches(record, marked, before.trace, trace);
  const measure = kept === marked && is === was ? after.measure : scaledStretches(kept, is);
  return { ...after, trace, measure };
}

/**
 * Placed ends of a photographed piece at the same pixels, after its scale was found to be another; undefined where
 * nothing is to be moved. Told to the plane of the scale at the height of the margin, mm.
 */
export function placedAnew(
  before: SpecimenRecord,
  after: SpecimenRecord,
  trace: TraceSettings,
): TraceSettings | undefined {
  const [from, to] = [before.source, after.source];
  if (from.kind !== 'photo' || to.kind !== 'photo' || from.sha256 !== to.sha256) return undefined;
  const ends = (['base', 'tip'] as const).filter((end) => trace[end] !== undefined);
  if (ends.length === 0 || JSON.stringify(from.scale) === JSON.stringify(to.scale)) return undefined;
  const moved = ends.map((end) => {
    const pixel = planeToImage(
      scaleOf(from),
      Float64Array.from(trace[end] ?? []).subarray(0, 2),
      from.scale.marginHeight.value,
    );
    const [x, y] = imageToPlane(scaleOf(to), pixel, to.scale.marginHeight.value);
    return [end, [withoutDust(x), withoutDust(y), 0]];
  });
  return { ...trace, ...Object.fromEntries(moved) };
}

function scaleOf({ scale: { toPlane, radial, camera } }: PhotoSource): SeenPlane {
  const map = Float64Array.from(toPlane);
  return { map: { toPlane: map, toImage: invert3(map), radial }, ...(camera && { camera }) };
}

/** How much larger than in the record the piece is as settings read its file. */
function scaleOver({ source }: SpecimenRecord, { unit }: ScanSettings): number {
  if (source.kind !== 'scan') return 1;
  return MM_PER_UNIT[unit ?? source.unit] / MM_PER_UNIT[source.unit];
}

const scaled = (length: number, factor: number): number =>
  factor === 1 ? length : withoutDust(length * factor);

/** Without the digits that only arithmetic brought in: people read it. */
const withoutDust = (length: number): number => Number(length.toPrecision(12));

/** Placed ends and a shift of the axis, where the piece became larger by a factor. */
function keptPlaces(before: TraceSettings, after: TraceSettings, factor: number): TraceSettings {
  const place = (end: 'base' | 'tip'): Partial<TraceSettings> => {
    const at = after[end];
    if (at === undefined || at !== before[end]) return {};
    return { [end]: at.map((length) => scaled(length, factor)) };
  };
  if (factor === 1) return after;
  const shift = after.nudgeShift === before.nudgeShift ? scaled(after.nudgeShift, factor) : after.nudgeShift;
  return { ...after, nudgeShift: shift, ...place('base'), ...place('tip') };
}

function scaledStretches(measure: MeasureSettings, factor: number): MeasureSettings {
  const { breaks, excluded } = measure;
  if (factor === 1 || (breaks.length === 0 && excluded === undefined)) return measure;
  return {
    ...measure,
    breaks: breaks.map(([from, to]) => [scaled(from, factor), scaled(to, factor)]),
    ...(excluded && {
      excluded: excluded.map((one) => ({
        ...one,
        from: scaled(one.from, factor),
        to: scaled(one.to, factor),
      })),
    }),
  };
}

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
