import type { MarginLine, Model } from '../trace/types.ts';
import { outlineComponents } from './outlineError.ts';
import { sampleField, type ThicknessField } from './thicknessField.ts';
import type { Value } from './types.ts';
import { none } from './values.ts';

/** Fewer stations than this with both faces make no line. */
const LEAST_STATIONS = 10;

/**
 * Greatest distance of the mid-surface line from its chord, mm: the middle between the faces along the midline, from the
 * margin at the base to the margin at the tip, where the two faces meet.
 */
export function profileBow(model: Model, field: ThicknessField): Value {
  const { midline, margin, quality, length } = model;
  const line: [number, number][] = [];
  for (let k = 1; k + 1 < midline.x.length; k++) {
    const z = sampleField(field.middle, field.map, midline.x[k], midline.y[k]);
    if (!Number.isNaN(z)) line.push([midline.y[k], z]);
  }
  if (line.length < LEAST_STATIONS) return none('the faces do not both reach along the midline');
  if (margin !== undefined) {
    line.unshift([0, heightNear(margin, midline.x[0], 0)]);
    line.push([length, heightNear(margin, midline.x[midline.x.length - 1], length)]);
  }
  const [y0, z0] = line[0];
  const [y1, z1] = line[line.length - 1];
  const slope = (z1 - z0) / (y1 - y0);
  let most = 0;
  for (const [y, z] of line) most = Math.max(most, Math.abs(z - z0 - slope * (y - y0)));
  // A middle and two ends.
  return { value: most / Math.hypot(1, slope), components: outlineComponents(quality, Math.sqrt(1.5)) };
}

/** Height of the margin's point that is nearest in plan. */
function heightNear({ points }: MarginLine, x: number, y: number): number {
  let z = 0;
  let least = Infinity;
  for (let i = 0; i < points.length; i += 3) {
    const d = (points[i] - x) ** 2 + (points[i + 1] - y) ** 2;
    if (d < least) {
      least = d;
      z = points[i + 2];
    }
  }
  return z;
}
