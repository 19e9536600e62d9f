import type { SpecimenRecord } from '../../../record/schema.ts';
import { type Along, seriesAlong } from '../series.ts';
import type { Size } from '../useSize.ts';

/** Where the columns of the sheet stand, px. All share one scale down the page: what is level is one station. */
export interface SheetLayout {
  readonly width: number;
  readonly height: number;
  /** px per mm, in plan and profile alike. */
  readonly scale: number;
  readonly top: number;
  readonly bottom: number;
  readonly length: number;
  /** x of the plan's axis and of the profile's margin plane. */
  readonly planX: number;
  readonly profileX: number;
  readonly labelX: number;
  readonly strips: readonly Strip[];
  toY(mm: number): number;
}

export interface Strip {
  readonly along: Along;
  readonly left: number;
  readonly right: number;
}

const TOP = 44;
const BOTTOM = 30;
const LABELS = 34;
const GAP = 22;
/** A strip narrower than this can't be read; one wider says no more. */
const STRIP_LEAST = 52;
const STRIP_MOST = 120;

export function layOut(record: SpecimenRecord, { width, height }: Size): SheetLayout | null {
  if (width < 200 || height < 160) return null;
  const { length } = record.frame;
  const plan = reach(record.outline.outer.map(([x]) => x));
  // The mirrored outline reaches as far to the other side.
  const half = Math.max(plan.high, -plan.low);
  const profile = reach([...record.profile.faceA, ...record.profile.faceB]);
  const along = seriesAlong(record);
  const stripsLeast = along.length * (STRIP_LEAST + GAP);
  const drawn = 2 * half + profile.high - profile.low;
  const scale = Math.max(
    0.5,
    Math.min((height - TOP - BOTTOM) / length, (width - LABELS - 2 * GAP - stripsLeast) / drawn),
  );
  const bottom = TOP + length * scale;
  const planX = LABELS + half * scale;
  const profileX = planX + half * scale + GAP - profile.low * scale;
  const start = profileX + profile.high * scale + GAP;
  const room = (width - start) / Math.max(1, along.length) - GAP;
  const stripWidth = Math.min(STRIP_MOST, Math.max(STRIP_LEAST, room));
  const strips = along.map((one, i): Strip => {
    const left = start + i * (stripWidth + GAP);
    return { along: one, left, right: left + stripWidth };
  });
  return {
    width,
    height,
    scale,
    top: TOP,
    bottom,
    length,
    planX,
    profileX,
    labelX: LABELS - 10,
    strips: strips.filter(({ right }) => right <= width + 1),
    toY: (mm) => bottom - mm * scale,
  };
}

function reach(values: readonly number[]): { low: number; high: number } {
  let low = 0;
  let high = 0;
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return { low, high };
}
