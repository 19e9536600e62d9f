import { mirrorDifference } from '../geometry/mirrorAxis.ts';
import { cutToRows } from '../geometry/polygonOverlap.ts';
import type { Points2 } from '../geometry/types.ts';
import type { AxisId, Model } from '../trace/types.ts';
import type { BrokenRows } from './outlineBreaks.ts';

/** Share of the outline's area that its reflection in the length axis covers, percent, broken rows left out. */
export function overlapOfRest(
  rings: readonly Points2[],
  broken: readonly BrokenRows[],
  length: number,
): number {
  const kept = wholeRows(broken, length).flatMap(({ from, to }) => cutToRows(rings, from, to));
  if (kept.length === 0) return NaN;
  return 100 * (1 - mirrorDifference(kept, 0, 0));
}

/** The same of the whole outline for an automatic axis of the frame. */
export function overlapAlong(
  { frame, length }: Model,
  rings: readonly Points2[],
  axis: Exclude<AxisId, 'tip-base'>,
): number {
  const { angle, x } = frame.axes[axis];
  const turn = (angle * Math.PI) / 180;
  return 100 * (1 - mirrorDifference(rings, turn, x * Math.cos(turn) + (length / 2) * Math.sin(turn)));
}

/** The rows between broken ones. */
function wholeRows(broken: readonly BrokenRows[], length: number): BrokenRows[] {
  const whole: BrokenRows[] = [];
  let from = 0;
  for (const rows of broken) {
    if (rows.from > from) whole.push({ from, to: rows.from });
    from = Math.max(from, rows.to);
  }
  if (from < length) whole.push({ from, to: length });
  return whole;
}
