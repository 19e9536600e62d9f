import { planeOfClosedLine } from '../../src/geometry/planeOfLine.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { Points2, Points3 } from '../../src/geometry/types.ts';
import { rowSpans } from './columns.ts';
import { moved, type Pose } from './pose.ts';

/**
 * The frame in which the truth is stated: origin at the base end, +Y to the tip along the outline's principal axis, +Z out of
 * Face A square to the margin's total-least-squares plane. `pose` takes the stone's own coordinates there; `ring` is the
 * margin in the frame, counter-clockwise seen on Face A.
 */
export interface SpecimenFrame {
  readonly pose: Pose;
  readonly ring: Points3;
  /** Which of the stone's faces is Face A. */
  readonly faceA: 0 | 1;
  readonly length: number;
}

type Vector = readonly number[];

export function specimenFrame(ring: Points3, topIsA: (frame: SpecimenFrame) => boolean): SpecimenFrame {
  const plane = planeOfClosedLine(ring);
  const up = plane.normal[2] < 0 ? plane.normal.map((c) => -c) : [...plane.normal];
  const rough = unit(minus([0, 1, 0], up, up[1]));
  const loose = poseOf(rough, up, plane.centroid);
  const outline = planOf(moved(loose, ring));
  const m = polygonMoments([outline]);
  const angle = 0.5 * Math.atan2(2 * m.xy, m.xx - m.yy);
  // The major axis's direction in (x, y), pointing the way the stone's own +y does.
  const sign = Math.sin(angle) < 0 ? -1 : 1;
  const side = cross(rough, up);
  const along = side.map((c, k) => sign * (Math.cos(angle) * c + Math.sin(angle) * rough[k]));
  const centre = plane.centroid.map((c, k) => c + m.x * side[k] + m.y * rough[k]);
  let frame = settled(ring, along, up, centre, 0);
  if (!tipIsUp(frame))
    frame = settled(
      ring,
      along.map((c) => -c),
      up,
      centre,
      0,
    );
  if (topIsA(frame)) return frame;
  return settled(
    ring,
    rowOf(frame.pose, 1),
    up.map((c) => -c),
    centre,
    1,
  );
}

/** The frame with its origin moved to the base end. */
function settled(ring: Points3, along: Vector, up: Vector, centre: Vector, faceA: 0 | 1): SpecimenFrame {
  const pose = poseOf(along, up, centre);
  const points = moved(pose, ring);
  let low = Infinity;
  let high = -Infinity;
  for (let i = 1; i < points.length; i += 3) {
    low = Math.min(low, points[i]);
    high = Math.max(high, points[i]);
  }
  for (let i = 1; i < points.length; i += 3) points[i] -= low;
  return {
    pose: { rotation: pose.rotation, shift: [pose.shift[0], pose.shift[1] - low, pose.shift[2]] },
    ring: faceA === 0 ? points : reversed(points),
    faceA,
    length: high - low,
  };
}

/** The end whose outer 15 % of the length holds less area is the tip. */
function tipIsUp(frame: SpecimenFrame): boolean {
  const plan = planOf(frame.ring);
  const rows = 300;
  let base = 0;
  let tip = 0;
  for (let i = 0; i < rows; i++) {
    const y = ((i + 0.5) / rows) * 0.15 * frame.length;
    for (const [a, b] of rowSpans(plan, y)) base += b - a;
    for (const [a, b] of rowSpans(plan, frame.length - y)) tip += b - a;
  }
  return tip < base;
}

export function planOf(points: Points3): Points2 {
  const plan = new Float64Array((points.length / 3) * 2);
  for (let i = 0; i < points.length / 3; i++) {
    plan[2 * i] = points[3 * i];
    plan[2 * i + 1] = points[3 * i + 1];
  }
  return plan;
}

function poseOf(along: Vector, up: Vector, origin: Vector): Pose {
  const rotation = [...cross(along, up), ...along, ...up];
  const back = moved({ rotation, shift: [0, 0, 0] }, Float64Array.from(origin));
  return { rotation, shift: [...back].map((c) => -c) };
}

const rowOf = (pose: Pose, row: number): Vector => pose.rotation.slice(3 * row, 3 * row + 3);

function reversed(points: Points3): Points3 {
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 3) out.set(points.subarray(i, i + 3), points.length - 3 - i);
  return out;
}

function cross(a: Vector, b: Vector): number[] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function minus(a: Vector, b: Vector, factor: number): number[] {
  return a.map((c, k) => c - factor * b[k]);
}

function unit(a: Vector): number[] {
  const length = Math.hypot(...a);
  return a.map((c) => c / length);
}
