import { edgeAngleEntries, edgeLineEntries } from './edgeEntries.ts';
import type { Entry } from './entry.ts';
import { humpEntries, sectionEntries, thicknessEntries } from './faceEntries.ts';
import type { Look } from './look.ts';
import type { Shown } from './marks.ts';
import { midlineEntries, outlineEntries, symmetryEntries } from './planEntries.ts';
import { ratioEntries } from './ratioEntries.ts';

/** The one table from measures to the geometry that they come from. */
const TABLE: readonly Entry[] = [
  ...outlineEntries,
  ...midlineEntries,
  ...symmetryEntries,
  ...edgeLineEntries,
  ...edgeAngleEntries,
  ...thicknessEntries,
  ...sectionEntries,
  ...humpEntries,
  ...ratioEntries,
];

/** What a measure is taken from; null where it does not apply to this piece, or has no place on it. */
export function showMeasure(look: Look, id: string): Shown | null {
  const measurement = look.record.measurements.find((candidate) => candidate.id === id);
  if (measurement === undefined || measurement.value === null) return null;
  for (const { ids, show } of TABLE) {
    const groups = ids.exec(id);
    if (groups !== null) return show(look, groups);
  }
  return null;
}
