import { alignRing, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Warning } from '../geometry/types.ts';
import { type CameraOver, layAlong, thicknessAslant } from './aslant.ts';
import type { EndOn, ViewQuality } from './types.ts';

export interface SeenEndOn {
  readonly endOn: EndOn;
  /** The line along which the width lies, from one end to the other, in the plane, mm. */
  readonly axis: Points2;
  /** Tangent of the angle by which the line of sight leans across the thickness; 0 where the camera's place is not known. */
  readonly slant: number;
  readonly warnings: readonly Warning[];
}

/** The piece as it is known in plan, mm. */
export interface EndOnPlan {
  /** Outer ring in the specimen frame. */
  readonly outer: Points2;
  readonly length: number;
  readonly width: number;
}

/** Widths of two views of one piece may differ by this share before it is told. */
const ALIKE = 0.03;

/**
 * A silhouette seen from the tip, Face A up (plane mm, counter-clockwise): how wide and how thick the piece is as a whole.
 * The width lies along the silhouette's longer axis. With a `camera` over the plane, which stands half a length up, what the
 * silhouette shows of the length by its slant is taken out of the thickness, and the width is compared with that of the plan
 * as it is seen from there.
 */
export function traceEndOn(
  ring: Points2,
  { outer, length, width }: EndOnPlan,
  past: number,
  quality: ViewQuality,
  camera?: CameraOver,
): SeenEndOn {
  const turn = majorAxis(polygonMoments([ring])).angle;
  const upright = alignRing(ring, turn, 0);
  const { min, max } = rangeY(upright);
  let left = Infinity;
  let right = -Infinity;
  for (let i = 0; i < upright.length; i += 2) {
    left = Math.min(left, upright[i]);
    right = Math.max(right, upright[i]);
  }
  const middle = (left + right) / 2;
  const wide = max - min;
  const beyond = past * wide;
  const axis = alignRing(Float64Array.of(middle, min - beyond, middle, max + beyond), -turn, 0);
  const foot = camera && alignRing(Float64Array.of(camera.x, camera.y), turn, 0);
  const slant = camera && foot ? (middle - foot[0]) / camera.height : 0;
  const thick = thicknessAslant(right - left, length, slant);
  const endOn = { width: wide, thickness: thick.value, aslant: thick.u, quality };
  const shown = camera && foot ? shownWidths(outer, length, [min, max], foot[1], camera.height) : [width];
  const nearest = shown.reduce((a, b) => (Math.abs(b - wide) < Math.abs(a - wide) ? b : a));
  if (Math.abs(wide / nearest - 1) <= ALIKE) return { endOn, axis, slant, warnings: [] };
  const aslant = camera === undefined ? '' : ' as seen from there';
  const text = `Seen from the tip the piece is ${wide.toFixed(1)} mm wide, in plan${aslant} ${nearest.toFixed(1)} mm: check the scale of both pictures, and that the tip pointed at the camera.`;
  return { endOn, axis, slant, warnings: [{ code: 'views-differ', text }] };
}

/** How wide the plan is seen where it stands with its tip up, either way round, mm. */
function shownWidths(
  outer: Points2,
  length: number,
  range: readonly [number, number],
  foot: number,
  height: number,
): number[] {
  const across = outer.filter((_, i) => (i & 1) === 0);
  const rise = outer.filter((_, i) => (i & 1) === 1).map((y) => y - length / 2);
  return [1, -1].map((way) => {
    const { from, to } = layAlong(
      across.map((x) => way * x),
      rise,
      range,
      { foot, height },
    );
    return to - from;
  });
}
