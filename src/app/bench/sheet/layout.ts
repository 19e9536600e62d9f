import type { SpecimenRecord } from '../../../record/schema.ts';
import { type Along, seriesAlong } from '../series.ts';
import type { Size } from '../useSize.ts';

/** Where the columns of the sheet stand, px. All share one scale down the page: what is level is one station. */
export interface SheetLayout {
  readonly width: number;
  readonly height: number;
  /** Baseline of the columns' names; the value at the station stands below it, at `valueY`. */
  readonly nameY: number;
  readonly valueY: number;
  /** Baseline of what is written below the columns. */
  readonly noteY: number;
  /** px per mm, in plan and profile alike. */
  readonly scale: number;
  readonly top: number;
  readonly bottom: number;
  readonly length: number;
  /** x of the plan's axis. */
  readonly planX: number;
  /** x where the next column begins. */
  readonly planEnd: number;
  /** How large letters are, 1 for 16 px. */
  readonly letters: number;
  /** x of the profile's margin plane; null where the piece was not seen edge-on. */
  readonly profileX: number | null;
  readonly labelX: number;
  readonly strips: readonly Strip[];
  /** Strips for which there is no room. */
  readonly leftOut: number;
  toY(mm: number): number;
}

export interface Strip {
  readonly along: Along;
  readonly left: number;
  readonly right: number;
}

/** Above, below and left of the drawings, where letters stand: px for letters of 16 px, and so are the places in it. */
const ABOVE = 44;
const BELOW = 30;
const BESIDE = 34;
const GAP = 20;
/** A strip narrower than this can't be read; one wider says no more. */
const STRIP_LEAST = 48;
const STRIP_MOST = 120;
const ALONE_MOST = 240;
/** Strips may shrink the piece to this share of the height it could have; beyond that some are left out. */
const LEAST_SHARE = 0.66;

/**
 * `alone`: the strips without plan and profile, so that all of them have room. `letters`: how large letters are, 1 for
 * 16 px. Null where there is no room for anything.
 */
export function layOut(
  record: SpecimenRecord,
  { width, height }: Size,
  alone: boolean,
  letters: number,
): SheetLayout | null {
  if (width < 200 || height < 160) return null;
  const [above, below, beside] = [ABOVE, BELOW, BESIDE].map((room) => room * letters);
  const { length } = record.frame;
  const plan = reach(record.outline.outer.map(([x]) => x));
  // The mirrored outline reaches as far to the other side.
  const half = Math.max(plan.high, -plan.low);
  const edgeOn = record.profile.y.length > 1;
  const profile = reach([...record.profile.faceA, ...record.profile.faceB]);
  const drawn = 2 * half + profile.high - profile.low;
  const tallest = (height - above - below) / length;
  const scaleWith = (strips: number): number =>
    alone
      ? tallest
      : Math.min(tallest, (width - beside - (edgeOn ? 2 : 1) * GAP - strips * (STRIP_LEAST + GAP)) / drawn);
  const all = seriesAlong(record);
  let fitting = all.length;
  while (fitting > 0 && scaleWith(fitting) < LEAST_SHARE * tallest) fitting -= 1;
  const along = all.slice(0, fitting);
  const scale = Math.max(0.1, scaleWith(fitting));
  const top = above + Math.max(0, height - above - below - length * scale) / 2;
  const bottom = top + length * scale;
  const planX = beside + half * scale;
  const planEnd = planX + half * scale + GAP;
  const profileX = edgeOn ? planEnd - profile.low * scale : null;
  const besides = profileX === null ? planEnd : profileX + profile.high * scale + GAP;
  const start = alone ? beside : besides;
  const room = (width - start) / Math.max(1, along.length) - GAP;
  const stripWidth = Math.min(alone ? ALONE_MOST : STRIP_MOST, Math.max(STRIP_LEAST, room));
  const strips = along.map((one, i): Strip => {
    const left = start + i * (stripWidth + GAP);
    return { along: one, left, right: left + stripWidth };
  });
  return {
    width,
    height,
    nameY: top - 30 * letters,
    valueY: top - 12 * letters,
    noteY: bottom + 18 * letters,
    scale,
    top,
    bottom,
    length,
    planX,
    planEnd,
    letters,
    profileX,
    labelX: beside - 10 * letters,
    strips,
    leftOut: all.length - fitting,
    toY: (mm) => bottom - mm * scale,
  };
}

/** A bar of a round length below the plan, px, its words beside it. */
export interface SheetBar {
  readonly mm: number;
  readonly from: number;
  readonly to: number;
}

const BARS = [100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1];
/** Where the words beside a bar begin, what each of their signs takes at most, px for letters of 16 px, and what is left free at either end, px. */
const BAR_GAP = 5;
const BAR_SIGN = 7;
const BAR_FREE = 8;

/** The longest bar up to some third of the piece that stands with its words clear of the next column, under the plan as far as that goes. */
export function scaleBar({ length, scale, planX, planEnd, letters }: SheetLayout): SheetBar {
  const words = (one: number): number => (BAR_GAP + BAR_SIGN * `${one} mm`.length) * letters;
  const end = planEnd - BAR_FREE;
  const least = BARS[BARS.length - 1];
  const mm = BARS.find((one) => one <= length / 2.5 && BAR_FREE + one * scale + words(one) <= end) ?? least;
  const from = Math.max(BAR_FREE, Math.min(planX - (mm * scale) / 2, end - words(mm) - mm * scale));
  return { mm, from, to: from + mm * scale };
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
