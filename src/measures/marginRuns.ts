import { indexAt, wrapArc } from '../geometry/closedCurve.ts';
import type { HeightRun } from '../geometry/lineAgainst.ts';
import { type MarginLine, SIDES, type Side } from '../trace/types.ts';
import { isEdge } from './stretches.ts';
import type { MeasureSettings } from './types.ts';

/** A stretch of margin: arc length from, to (mm from the tip, from < to). */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * The stretch of margin that is one side: the longest unbroken run of points of that side (the floor of a notched base
 * may rise past station 5 and is then labelled left or right too, but it is not the side). What lies on marked breaks
 * or is left out by hand is cut out, so that several stretches may be left.
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
      if (i - 1 > from) stretches.push({ from: margin.arc[from], to: margin.arc[i - 1] });
      from = -1;
    }
  }
  return stretches;
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

/** Heights of a stretch over y, each piece weighted by its length in plan. */
export function heightRun(margin: MarginLine, stretch: Stretch): HeightRun {
  const first = indexAt(margin, stretch.from);
  const last = indexAt(margin, wrapArc(stretch.to, margin.length));
  const n = last - first + 1;
  const y = new Float64Array(n);
  const z = new Float64Array(n);
  const weight = new Float64Array(Math.max(0, n - 1));
  for (let k = 0; k < n; k++) {
    const at = 3 * (first + k);
    y[k] = margin.points[at + 1];
    z[k] = margin.points[at + 2];
    if (k > 0) weight[k - 1] = Math.hypot(margin.points[at] - margin.points[at - 3], y[k] - y[k - 1]);
  }
  return { y, z, weight };
}
