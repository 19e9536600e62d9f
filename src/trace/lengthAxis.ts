import { farthestPair } from '../geometry/farthestPair.ts';
import { mirrorLine } from '../geometry/mirrorAxis.ts';
import { majorAxis, polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';

/** A candidate length axis in the margin plane: direction in radians from +y, offset in mm to the right of it. */
export interface AxisLine {
  readonly angle: number;
  readonly offset: number;
}

export interface AutomaticAxes {
  readonly mirror: AxisLine;
  readonly principal: AxisLine;
  readonly longest: AxisLine;
  /** Major over minor second moment of the plan; near 1 the plan has no length. */
  readonly roundness: number;
}

/** `mirror` may turn this far from `principal`. */
const MIRROR_RANGE = (25 * Math.PI) / 180;

/** The three automatic length axes of a plan (rings: outer counter-clockwise, holes clockwise). */
export function automaticAxes(rings: readonly Points2[]): AutomaticAxes {
  const moments = polygonMoments(rings);
  const major = majorAxis(moments);
  const mirror = mirrorLine(rings, major.angle, MIRROR_RANGE);
  const pair = farthestPair(rings[0]);
  // Through the two points that a caliper would touch.
  const longest = lineThrough(pair.ax, pair.ay, pair.bx, pair.by);
  return {
    mirror: { angle: mirror.angle, offset: mirror.offset },
    principal: { angle: major.angle, offset: offsetOf(major.angle, moments.x, moments.y) },
    longest: facing(longest, major.angle),
    roundness: major.ratio,
  };
}

/** The line from (ax, ay) to (bx, by), pointing that way. */
export function lineThrough(ax: number, ay: number, bx: number, by: number): AxisLine {
  const angle = Math.atan2(-(bx - ax), by - ay);
  return { angle, offset: offsetOf(angle, ax, ay) };
}

function offsetOf(angle: number, x: number, y: number): number {
  return x * Math.cos(angle) + y * Math.sin(angle);
}

/** The same line with its direction turned about, where that brings it within a right angle of `towards`. */
export function facing(line: AxisLine, towards: number): AxisLine {
  const apart = Math.cos(line.angle - towards);
  return apart >= 0 ? line : { angle: line.angle + Math.PI, offset: -line.offset };
}
