import type { LeftOut, MeasureSettings } from '../../../measures/types.ts';
import type { Asked } from '../../state/settingsHistory.ts';

/** What marks a stretch of margin. */
export type MarginTool = 'break' | 'exclude';

export const STRETCH_WORDS: Readonly<Record<MarginTool, { readonly what: string; readonly hint: string }>> = {
  break: { what: 'Break', hint: 'Drag along the break.' },
  exclude: { what: 'Stretch to leave out', hint: 'Drag along what is to be left out.' },
};

/** Reasons that are offered; others may be written. The first is what a new stretch gets. */
export const REASONS = [
  'modern damage',
  'hole of the scan',
  'residue or adhesive',
  'worn by handling',
] as const;

/** The settings with one more stretch, from and to in mm of arc length. */
export function addStretch(
  tool: MarginTool,
  measure: MeasureSettings,
  from: number,
  to: number,
): Asked<MeasureSettings> {
  if (tool === 'break') return { breaks: [...measure.breaks, [from, to]] };
  return leaveOut([...(measure.excluded ?? []), { from, to, reason: REASONS[0] }]);
}

/** No stretch is the same as no word of any. */
export function leaveOut(excluded: readonly LeftOut[]): Asked<MeasureSettings> {
  return { excluded: excluded.length === 0 ? undefined : excluded };
}
