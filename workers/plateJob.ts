import { arrisesOf, shadeFaces } from '../src/plate/faces.ts';
import type { PlatePiece } from '../src/plate/figure.ts';
import { type PlateStyle, scaleFactor } from '../src/plate/plateStyle.ts';
import type { MeasuredScan } from '../src/record/measureScan.ts';

/** Shaded pixels for each inch of paper: as fine as print shows. */
export const SHADED_DPI = 300;

/** A measured scan ready for a plate; its mesh is let go. */
export function platePiece({ record, model }: MeasuredScan, style: PlateStyle): PlatePiece {
  if (style.face === 'outline' || model.surface === undefined) return { record };
  if (style.face === 'arrises') return { record, faces: arrisesOf(model.surface.mesh, model.length) };
  const cell = 25.4 / SHADED_DPI / Math.min(4, scaleFactor(style.scale) ?? 1);
  return { record, faces: shadeFaces(model.surface.mesh, model.length, cell) };
}
