import type { Matrix4, Points2 } from '../../src/geometry/types.ts';
import { crossings, intoAxis, type PlanAxis } from './axes.ts';
import { bounds } from './polygonInside.ts';
import type { Pose } from './pose.ts';

/** The plan of the design frame laid into the specimen frame. */
export interface FramePlan {
  readonly points: Points2;
  readonly fromDesign: (u: number, v: number) => [number, number];
  readonly toDesign: (x: number, y: number) => [number, number];
}

/** Turns, flips and shifts the plan into the frame: axis along +y, tip up, base at y = 0, x right as seen on Face A. */
export function framePlan(polygon: Points2, axis: PlanAxis, up: boolean): FramePlan {
  let angle = axis.angle;
  // The tip is the end whose outer 15 % of length holds less area.
  const q = intoAxis(polygon, axis);
  const box = bounds(q);
  const cut = 0.15 * (box.y1 - box.y0);
  if (areaBetween(q, box.y1 - cut, box.y1) > areaBetween(q, box.y0, box.y0 + cut)) angle += Math.PI;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const sign = up ? 1 : -1;
  const base = bounds(intoAxis(polygon, { ...axis, angle })).y0;
  const fromDesign = (u: number, v: number): [number, number] => {
    const [dx, dy] = [u - axis.x, v - axis.y];
    return [sign * (dx * s - dy * c), dx * c + dy * s - base];
  };
  const toDesign = (x: number, y: number): [number, number] => {
    const [p, r] = [sign * x, y + base];
    return [axis.x + p * s + r * c, axis.y - p * c + r * s];
  };
  const points = new Float64Array(polygon.length);
  for (let i = 0; i < points.length; i += 2) {
    [points[i], points[i + 1]] = fromDesign(polygon[i], polygon[i + 1]);
  }
  return { points, fromDesign, toDesign };
}

function areaBetween(q: Points2, y0: number, y1: number): number {
  const lines = 2000;
  const ys = Float64Array.from({ length: lines }, (_, k) => y0 + ((k + 0.5) * (y1 - y0)) / lines);
  let sum = 0;
  for (const list of crossings(q, ys))
    for (let i = 0; i + 1 < list.length; i += 2) sum += list[i + 1] - list[i];
  return (sum * (y1 - y0)) / lines;
}

export function reversed(p: Points2): Points2 {
  const n = p.length / 2;
  const out = new Float64Array(p.length);
  for (let i = 0; i < n; i++) {
    out[2 * i] = p[2 * (n - 1 - i)];
    out[2 * i + 1] = p[2 * (n - 1 - i) + 1];
  }
  return out;
}

/** Column-major 4 × 4: frame = plan turn · Rᵀ · (scan/scale − shift). */
export function scanToFrame(pose: Pose, plan: FramePlan, up: boolean): Matrix4 {
  const [ox, oy] = plan.fromDesign(0, 0);
  const [ux, uy] = plan.fromDesign(1, 0);
  const [vx, vy] = plan.fromDesign(0, 1);
  const turn = [ux - ox, vx - ox, 0, uy - oy, vy - oy, 0, 0, 0, up ? 1 : -1];
  const r = pose.rotation;
  const m = new Float64Array(16);
  m[15] = 1;
  const offset = [ox, oy, 0];
  for (let row = 0; row < 3; row++) {
    let moved = offset[row];
    for (let col = 0; col < 3; col++) {
      // (turn · Rᵀ)[row][col]
      const v =
        turn[3 * row] * r[3 * col] + turn[3 * row + 1] * r[3 * col + 1] + turn[3 * row + 2] * r[3 * col + 2];
      m[4 * col + row] = v / pose.unitsPerMm;
      moved -= v * pose.shift[col];
    }
    m[12 + row] = moved;
  }
  return m;
}
