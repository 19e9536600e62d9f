import type { Points2 } from '../geometry/types.ts';
import { type CameraOver, type LaidAlong, layAlong, seenAt } from './aslant.ts';
import type { Midline } from './types.ts';

/** The side from which a piece is seen edge-on, tip up. From the left, Face A is on the right of the picture. */
export type EdgeOnSide = 'left' | 'right';

/** The plan of a piece that stands on its edge, in the specimen frame, mm. */
export interface StandingPlan {
  readonly outer: Points2;
  readonly midline: Midline;
  readonly length: number;
}

/** The plan as it stands on its edge in a silhouette: where its stations are seen, and how far their middles rise over half its width. */
export interface Standing extends LaidAlong {
  at(k: number): number;
  rise(k: number): number;
}

export function standing(
  plan: StandingPlan,
  side: EdgeOnSide,
  [foot, top]: readonly [number, number],
  camera: CameraOver | undefined,
): Standing {
  const { outer, midline, length } = plan;
  const { y } = midline;
  const share = (k: number): number => (length * k) / (y.length - 1);
  if (camera === undefined) {
    return { zero: foot, from: foot, to: foot + length, at: (k) => foot + share(k), rise: () => 0 };
  }
  const rise = risesOf(plan, side);
  const along = outer.filter((_, i) => (i & 1) === 1);
  const across = outer.filter((_, i) => (i & 1) === 0);
  const laid = layAlong(along, across.map(rise), [foot, top], { foot: camera.y, height: camera.height });
  // What the plan shows beyond its own ends it shows of all between them, in proportion: as of a dome, which falls off to its rim.
  const middle = (k: number): number =>
    camera.y + seenAt(laid.zero + share(k) - camera.y, rise(midline.x[k]), camera.height);
  const last = y.length - 1;
  const [before, beyond] = [laid.from - middle(0), laid.to - middle(last)];
  return {
    ...laid,
    at: (k) => middle(k) + before * (1 - k / last) + beyond * (k / last),
    rise: (k) => rise(midline.x[k]),
  };
}

/** How far what lies at an x of the plan rises over half its width, when the piece stands on its other edge. */
function risesOf({ outer }: StandingPlan, side: EdgeOnSide): (x: number) => number {
  let [least, most] = [Infinity, -Infinity];
  for (let i = 0; i < outer.length; i += 2) {
    least = Math.min(least, outer[i]);
    most = Math.max(most, outer[i]);
  }
  const middle = (least + most) / 2;
  return side === 'left' ? (x) => middle - x : (x) => x - middle;
}
