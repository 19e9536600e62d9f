import { edgeAngle } from './edgeAngle.ts';
import { edgeLine } from './edgeLine.ts';
import { fourier } from './fourier.ts';
import { humps } from './humps.ts';
import { midline } from './midline.ts';
import { outline } from './outline.ts';
import { ratios } from './ratios.ts';
import { sections } from './sections.ts';
import { symmetry } from './symmetry.ts';
import { thickness } from './thickness.ts';
import type { Family, MeasureRow } from './types.ts';

/**
 * The one list of families, in the order in which the ledger shows them. From it come the ledger, the CSV headers, the
 * data dictionary, the methods page and the test list.
 */
export const FAMILIES: readonly Family[] = [
  outline,
  fourier,
  midline,
  symmetry,
  edgeLine,
  edgeAngle,
  thickness,
  sections,
  humps,
  ratios,
];

export function catalogueRows(): readonly MeasureRow[] {
  return FAMILIES.flatMap((family) => family.rows);
}
