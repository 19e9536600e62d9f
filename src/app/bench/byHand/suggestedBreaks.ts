import type { SpecimenRecord } from '../../../record/schema.ts';
import { numbers } from '../series.ts';

/** Arc length from the tip, mm: from and to. */
export type Stretch = readonly [from: number, to: number];

/** A break has edge angles over this, degrees. */
const STEEP = 70;
/** A break is at least this share of the width long. */
const LEAST_SHARE = 0.3;
/** Gaps between steep places that still belong to one break, mm. */
const GAP = 3;
/** Across the axis to within this, degrees. */
const ACROSS = 30;

/** Stretches where the margin runs straight across with steep edges, and which are not marked yet: perhaps breaks. */
export function suggestedBreaks(record: SpecimenRecord): Stretch[] {
  const { edgeAngle } = record.series;
  const arc = numbers(edgeAngle, 'arc');
  const angle = numbers(edgeAngle, 'angle');
  const runs: [number, number][] = [];
  arc.forEach((s, k) => {
    const degrees = angle[k];
    if (s === null || degrees === null || degrees < STEEP) return;
    const run = runs.at(-1);
    if (run !== undefined && s - run[1] <= GAP) run[1] = s;
    else runs.push([s, s]);
  });
  const width = record.measurements.find(({ id }) => id === 'width')?.value;
  const least = LEAST_SHARE * (typeof width === 'number' ? width : Infinity);
  const marked = record.settings.measure.breaks;
  return runs.filter(
    ([from, to]) =>
      to - from >= least &&
      runsAcross(record, from, to) &&
      !marked.some(([start, end]) => start <= to && end >= from),
  );
}

function runsAcross({ margin }: SpecimenRecord, from: number, to: number): boolean {
  const inside = margin.filter(({ s }) => s >= from && s <= to);
  const [first, last] = [inside[0], inside.at(-1)];
  if (first === undefined || last === undefined) return false;
  const [dx, dy] = [Math.abs(last.x - first.x), Math.abs(last.y - first.y)];
  return dx > 0.8 * (to - from) && Math.atan2(dy, dx) < (ACROSS * Math.PI) / 180;
}
