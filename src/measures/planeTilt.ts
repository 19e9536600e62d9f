import { circularRuns } from '../geometry/closedCurve.ts';
import { planarCurve, spanAt } from '../geometry/curvePlanar.ts';
import type { Model } from '../trace/types.ts';

/** Standard uncertainties of the direction of the margin plane, radians: about the length axis and about the line across it. */
export interface PlaneTilt {
  readonly roll: number;
  readonly pitch: number;
}

/** Where walls move the margin by less than this (mm) when the plane tilts, they are no matter. */
const LEAST_MOVE = 1e-3;

/**
 * What walls are worth in the direction of the margin plane. Where the margin is no edge but a wall, its height may have been
 * drawn anywhere on it; each wall stands at one place of the margin, so that another height tilts the plane. Walls err each
 * by itself. Where nothing is a wall both are 0: noise of single points moves a plane by next to nothing.
 */
export function planeTilt({ outline: { outer, left }, margin }: Model): PlaneTilt {
  const none = { roll: 0, pitch: 0 };
  if (left === undefined || margin === undefined || left.wall.every((half) => half === 0)) return none;
  const n = left.wall.length;
  const curve = planarCurve(outer);
  const { length } = curve;
  const weight = (i: number): number => spanAt(curve, i);
  let [sx, sy] = [0, 0];
  for (let i = 0; i < n; i++) {
    sx += weight(i) * outer[2 * i];
    sy += weight(i) * outer[2 * i + 1];
  }
  const [mx, my] = [sx / length, sy / length];
  let [xx, xy, yy] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const [x, y] = [outer[2 * i] - mx, outer[2 * i + 1] - my];
    xx += weight(i) * x * x;
    xy += weight(i) * x * y;
    yy += weight(i) * y * y;
  }
  const determinant = xx * yy - xy * xy;
  if (!(determinant > 0)) return none;
  let [roll, pitch] = [0, 0];
  for (const wall of circularRuns(n, (i) => left.wall[i] !== 0)) {
    let [xz, yz] = [0, 0];
    for (const i of wall) {
      const z = (weight(i) * left.wall[i]) / Math.sqrt(3);
      xz += z * (outer[2 * i] - mx);
      yz += z * (outer[2 * i + 1] - my);
    }
    // The least-squares plane through heights that are 0 but for this wall's.
    roll += ((yy * xz - xy * yz) / determinant) ** 2;
    pitch += ((xx * yz - xy * xz) / determinant) ** 2;
  }
  return matters({ roll: Math.sqrt(roll), pitch: Math.sqrt(pitch) }, margin.points);
}

/** A tilt that moves the margin by what can be measured; otherwise none. */
function matters({ roll, pitch }: PlaneTilt, points: Float64Array): PlaneTilt {
  let most = 0;
  for (let i = 2; i < points.length; i += 3) most = Math.max(most, Math.abs(points[i]));
  return { roll: roll * most < LEAST_MOVE ? 0 : roll, pitch: pitch * most < LEAST_MOVE ? 0 : pitch };
}
