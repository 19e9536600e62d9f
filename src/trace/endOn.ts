import { alignRing, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import type { EndOn, ViewQuality } from './types.ts';

export interface SeenEndOn {
  readonly endOn: EndOn;
  /** The line along which the width lies, from one end to the other, in the plane, mm. */
  readonly axis: Points2;
  readonly warnings: readonly Warning[];
}

/** Widths of two views of one piece may differ by this share before it is told. */
const ALIKE = 0.03;

/**
 * A silhouette seen from the tip, Face A up (plane mm, counter-clockwise): how wide and how thick the piece is as a whole.
 * The width lies along the silhouette's longer axis. `width` is that of the plan.
 */
export function traceEndOn(ring: Points2, width: number, past: number, quality: ViewQuality): SeenEndOn {
  const turn = majorAxis(polygonMoments([ring])).angle;
  const upright = alignRing(ring, turn, 0);
  const { min, max } = rangeY(upright);
  let left = Infinity;
  let right = -Infinity;
  for (let i = 0; i < upright.length; i += 2) {
    left = Math.min(left, upright[i]);
    right = Math.max(right, upright[i]);
  }
  const endOn = { width: max - min, thickness: right - left, quality };
  const middle = (left + right) / 2;
  const beyond = past * endOn.width;
  const axis = alignRing(Float64Array.of(middle, min - beyond, middle, max + beyond), -turn, 0);
  if (Math.abs(endOn.width / width - 1) <= ALIKE) return { endOn, axis, warnings: [] };
  const text = `Seen from the tip the piece is ${endOn.width.toFixed(1)} mm wide, in plan ${width.toFixed(1)} mm: check the scale of both pictures, and that the tip pointed at the camera.`;
  return { endOn, axis, warnings: [{ code: 'views-differ', text }] };
}
