import type { MeasureSettings } from './types.ts';

/** Is arc length `s` within one of the marked stretches? A stretch whose end lies before its start goes round the tip. */
export function isOnBreak(s: number, breaks: MeasureSettings['breaks']): boolean {
  return breaks.some(([from, to]) => isWithin(s, from, to));
}

/** Why the margin is left out at arc length `s`, in the words of who decided it; undefined where it is not. */
export function leftOutAt(s: number, { excluded = [] }: MeasureSettings): string | undefined {
  return excluded.find(({ from, to }) => isWithin(s, from, to))?.reason;
}

/** Is there an edge to measure at arc length `s`: neither broken nor left out? */
export function isEdge(s: number, settings: MeasureSettings): boolean {
  return !isOnBreak(s, settings.breaks) && leftOutAt(s, settings) === undefined;
}

function isWithin(s: number, from: number, to: number): boolean {
  return from <= to ? s >= from && s <= to : s >= from || s <= to;
}
