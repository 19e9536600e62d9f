import type { Points2 } from './types.ts';

/** Convex hull, counter-clockwise, without collinear points (Andrew's monotone chain). O(n log n). */
export function convexHull(points: Points2): Points2 {
  const n = points.length / 2;
  const order = Array.from({ length: n }, (_, i) => 2 * i).sort(
    (a, b) => points[a] - points[b] || points[a + 1] - points[b + 1],
  );
  const chain: number[] = [];
  const turnsRight = (a: number, b: number, c: number): boolean =>
    (points[b] - points[a]) * (points[c + 1] - points[a + 1]) -
      (points[b + 1] - points[a + 1]) * (points[c] - points[a]) <=
    0;
  const extend = (floor: number, c: number): void => {
    while (chain.length >= floor + 2 && turnsRight(chain[chain.length - 2], chain[chain.length - 1], c))
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
