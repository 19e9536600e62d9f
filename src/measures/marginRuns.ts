import { indexAt, pointAt, wrapArc } from '../geometry/closedCurve.ts';
import type { HeightRun } from '../geometry/lineAgainst.ts';
import { type MarginLine, SIDES, type Side } from '../trace/types.ts';
import { isEdge } from './stretches.ts';
import type { MeasureSettings } from './types.ts';

/** The tip and the base reach over this share of the length. */
const END_SHARE = 0.05;

/** A stretch of margin: arc length from, to (mm from the tip, from < to). */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * The stretch of margin that is one side: the longest unbroken run of points of that side (the floor of a notched base
 * may rise past station 5 and is then labelled left or right too, but it is not the side), on to where it meets the stations
 * that part it from tip and base. What lies on marked breaks or is left out by hand is cut out, so that several stretches
 * may be left.
 */
export function sideStretches(margin: MarginLine, side: Side, settings: MeasureSettings): readonly Stretch[] {
  const longest = longestRun(margin, SIDES.indexOf(side));
  if (longest === null) return [];
  const [first, last] = longest;
  const stretches: Stretch[] = [];
  let from = -1;
  for (let i = first; i <= last + 1; i++) {
    const inside = i <= last && isEdge(margin.arc[i], settings);
    if (inside && from < 0) from = i;
    if (!inside && from >= 0) {
      if (i - 1 > from) {
        stretches.push({
          from: from === first ? endOfSide(margin, first, -1) : margin.arc[from],
          to: i - 1 === last ? endOfSide(margin, last, 1) : margin.arc[i - 1],
        });
      }
      from = -1;
    }
  }
  return stretches;
}

/** Arc length at which the side whose last point is `end` meets the tip's or the base's station, between points. */
function endOfSide({ points, arc, side, length }: MarginLine, end: number, step: 1 | -1): number {
  const n = arc.length;
  const next = (end + step + n) % n;
  const beyond = SIDES[side[next]];
  if (beyond !== 'tip' && beyond !== 'base') return arc[end];
  let top = 0;
  for (let i = 1; i < points.length; i += 3) top = Math.max(top, points[i]);
  const level = (beyond === 'tip' ? 1 - END_SHARE : END_SHARE) * top;
  const here = points[3 * end + 1];
  const there = points[3 * next + 1];
  const share = (level - here) / (there - here);
  if (!(share > 0 && share < 1)) return arc[end];
  const gap = (((arc[next] - arc[end]) * step + length) % length) * step;
  return arc[end] + share * gap;
}

/** First and last index of the longest run (by arc length) of points with this label. */
function longestRun(margin: MarginLine, label: number): readonly [number, number] | null {
  const { side, arc } = margin;
  let best: readonly [number, number] | null = null;
  let first = -1;
  for (let i = 0; i <= side.length; i++) {
    const inside = i < side.length && side[i] === label;
    if (inside && first < 0) first = i;
    if (!inside && first >= 0) {
      if (best === null || arc[i - 1] - arc[first] > arc[best[1]] - arc[best[0]]) best = [first, i - 1];
      first = -1;
    }
  }
  return best;
}

/** Heights of a stretch over y from its one end to the other, each piece weighted by its length in plan. */
export function heightRun(margin: MarginLine, { from, to }: Stretch): HeightRun {
  const { arc } = margin;
  const places = [from];
  for (let i = indexAt(margin, wrapArc(from, margin.length)) + 1; i < arc.length && arc[i] < to; i++)
    places.push(arc[i]);
  places.push(to);
  const points = new Float64Array(3 * places.length);
  places.forEach((place, k) => {
    pointAt(margin, place, points, 3 * k);
  });
  const weight = Float64Array.from({ length: places.length - 1 }, (_, k) =>
    Math.hypot(points[3 * k + 3] - points[3 * k], points[3 * k + 4] - points[3 * k + 1]),
  );
  return { y: points.filter((_, i) => i % 3 === 1), z: points.filter((_, i) => i % 3 === 2), weight };
}
