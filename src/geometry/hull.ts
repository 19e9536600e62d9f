import type { Points2 } from './types.ts';

/** Directions in which the outermost points are looked for first, over a right angle. */
const DIRECTIONS = 6;
/** About so many points are looked at for these: nearly outermost ones enclose hardly less. */
const ENOUGH = 1000;

/** Convex hull, counter-clockwise, without collinear points (Andrew's monotone chain). O(n log n). */
export function convexHull(points: Points2): Points2 {
  const order = mayBeOutermost(points).sort((a, b) => points[a] - points[b] || points[a + 1] - points[b + 1]);
  const chain: number[] = [];
  const extend = (floor: number, c: number): void => {
    while (
      chain.length >= floor + 2 &&
      turnsRight(points, chain[chain.length - 2], chain[chain.length - 1], c)
    )
      chain.pop();
    chain.push(c);
  };
  for (const i of order) extend(0, i);
  const lower = chain.length - 1;
  for (let k = order.length - 2; k >= 0; k--) extend(lower, order[k]);
  chain.pop();
  const hull = new Float64Array(2 * chain.length);
  chain.forEach((i, k) => {
    hull[2 * k] = points[i];
    hull[2 * k + 1] = points[i + 1];
  });
  return hull;
}

/** Whether the way from point `a` over `b` to `c` turns right or not at all. */
function turnsRight(points: Points2, a: number, b: number, c: number): boolean {
  const turn =
    (points[b] - points[a]) * (points[c + 1] - points[a + 1]) -
    (points[b + 1] - points[a + 1]) * (points[c] - points[a]);
  return turn <= 0;
}

/**
 * Places of the points that no polygon of outermost points encloses (Akl & Toussaint 1978): what is inside of it by more
 * than rounding can't be a corner of the hull.
 */
function mayBeOutermost(points: Points2): number[] {
  const n = points.length;
  const ring: number[] = [];
  const sides = 4 * DIRECTIONS;
  const step = 2 * Math.max(1, Math.floor(n / 2 / ENOUGH));
  for (let k = 0; k < sides; k++) {
    const c = Math.cos((2 * Math.PI * k) / sides);
    const s = Math.sin((2 * Math.PI * k) / sides);
    let most = -Infinity;
    let at = 0;
    for (let i = 0; i < n; i += step) {
      const along = points[i] * c + points[i + 1] * s;
      if (along > most) {
        most = along;
        at = i;
      }
    }
    if (at !== ring[ring.length - 1] && at !== ring[0]) ring.push(at);
  }
  const corners = Float64Array.from(ring.flatMap((at) => [points[at], points[at + 1]]));
  const kept: number[] = [];
  for (let i = 0; i < n; i += 2) {
    if (corners.length < 6 || !isWithin(corners, points[i], points[i + 1])) kept.push(i);
  }
  return kept;
}

/** Whether a place lies within a convex polygon by more than rounding. */
function isWithin(corners: Float64Array, x: number, y: number): boolean {
  for (let k = 0; k < corners.length; k += 2) {
    const next = k + 2 < corners.length ? k + 2 : 0;
    const dx = corners[next] - corners[k];
    const dy = corners[next + 1] - corners[k + 1];
    if (dx * (y - corners[k + 1]) - dy * (x - corners[k]) <= 1e-9 * (dx * dx + dy * dy)) return false;
  }
  return true;
}
