import type { Model } from '../trace/types.ts';
import type { Shared } from './shared.ts';

/** Share of the width, from either margin, at which the thickness is taken. */
const DEPTH = 0.05;

/**
 * Angle (degrees) that the faces open with over the outermost twentieth of the width: the median over both margins and the
 * middle two thirds of the length. A lens stays below 90° unless it is thicker than wide; the rim of an ellipsoid passes
 * 125° when its width is less than 2¼ thicknesses. Needs no fit, so that it tells of bodies on which no edge can be
 * fitted. Undefined where both faces were not scanned.
 */
export function rimAngle({ midline, length }: Model, { thicknessMap: map }: Shared): number | undefined {
  const found: number[] = [];
  const n = midline.y.length;
  for (let i = Math.ceil(n / 6); i < (5 * n) / 6; i++) {
    const left = midline.leftX[i];
    const right = midline.rightX[i];
    const depth = DEPTH * (right - left);
    const row = Math.round(((i / (n - 1)) * length - map.y0) / map.cell);
    for (const x of [left + depth, right - depth]) {
      const k = row * map.columns + Math.round((x - map.x0) / map.cell);
      const thick = map.faceA[k] - map.faceB[k];
      if (thick > 0 && depth > 0) found.push((2 * Math.atan(thick / (2 * depth)) * 180) / Math.PI);
    }
  }
  return found.sort((a, b) => a - b)[found.length >> 1];
}
