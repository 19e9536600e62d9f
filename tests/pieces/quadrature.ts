import type { Points2 } from '../../src/geometry/types.ts';
import { crossings } from './axes.ts';
import { bounds } from './polygonInside.ts';

/** Keeps the result of a costly calculation that may never be asked for. */
export function once<T>(make: () => T): () => T {
  let kept: { value: T } | undefined;
  return () => {
    kept ??= { value: make() };
    return kept.value;
  };
}

/**
 * ∫ f over the inside of a polygon: midpoint lines along y; on each chord the substitution x = m − w·cos θ, θ at midpoints,
 * which crowds points near the ends and copes with root-like edges.
 */
export function integrate(
  polygon: Points2,
  lines: number,
  points: number,
  f: (x: number, y: number, weight: number) => number,
): number {
  const box = bounds(polygon);
  const h = (box.y1 - box.y0) / lines;
  const ys = Float64Array.from({ length: lines }, (_, k) => box.y0 + (k + 0.5) * h);
  const lists = crossings(polygon, ys);
  let sum = 0;
  for (let k = 0; k < lines; k++) {
    for (let i = 0; i + 1 < lists[k].length; i += 2) {
      sum += integrateChord(lists[k][i], lists[k][i + 1], points, (x, weight) => f(x, ys[k], weight * h));
    }
  }
  return sum * h;
}

/** ∫ f over one chord, by the same substitution. */
export function integrateChord(
  x0: number,
  x1: number,
  points: number,
  f: (x: number, weight: number) => number,
): number {
  const middle = (x0 + x1) / 2;
  const half = (x1 - x0) / 2;
  let sum = 0;
  for (let k = 0; k < points; k++) {
    const theta = ((k + 0.5) * Math.PI) / points;
    const weight = (half * Math.PI * Math.sin(theta)) / points;
    sum += weight * f(middle - half * Math.cos(theta), weight);
  }
  return sum;
}
