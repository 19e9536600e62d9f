import { type Model, SIDES, type Side } from '../trace/types.ts';
import { isOnBreak } from './stretches.ts';
import type { MeasureSettings } from './types.ts';

/** Heights (mm along y) that a marked break of the margin covers. */
export interface BrokenRows {
  readonly from: number;
  readonly to: number;
}

/** One interval of y for each unbroken run of margin points on a marked break, from base to tip. */
export function brokenRows(model: Model, settings: MeasureSettings): readonly BrokenRows[] {
  const { margin } = model;
  if (margin === undefined || settings.breaks.length === 0) return [];
  const rows: { from: number; to: number }[] = [];
  let open: { from: number; to: number } | undefined;
  for (let i = 0; i < margin.arc.length; i++) {
    const y = margin.points[3 * i + 1];
    if (!isOnBreak(margin.arc[i], settings.breaks)) open = undefined;
    else if (open === undefined) {
      open = { from: y, to: y };
      rows.push(open);
    } else {
      open.from = Math.min(open.from, y);
      open.to = Math.max(open.to, y);
    }
  }
  return rows.sort((a, b) => a.from - b.from);
}

export function isBroken(rows: readonly BrokenRows[], y: number): boolean {
  return rows.some(({ from, to }) => y >= from && y <= to);
}

/** Whether a marked break reaches into the part of the margin with this label. */
export function breakReaches(model: Model, settings: MeasureSettings, side: Side): boolean {
  const { margin } = model;
  if (margin === undefined) return false;
  const label = SIDES.indexOf(side);
  return margin.side.some((s, i) => s === label && isOnBreak(margin.arc[i], settings.breaks));
}
