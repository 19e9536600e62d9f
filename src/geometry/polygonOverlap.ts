import { booleanOp, ClipType, FillRule } from 'clipper2-ts';
import { polygonMoments } from './polygonMoments.ts';
import { fromPath, pathScale, reachOf, toPaths } from './polygonPaths.ts';
import type { Points2 } from './types.ts';

/**
 * Area of the intersection of two regions (rings; holes run the other way round). Exact but for rounding the
 * coordinates to 2⁻²⁴ of the greatest.
 */
export function overlapArea(a: readonly Points2[], b: readonly Points2[]): number {
  const scale = pathScale(Math.max(reachOf(a), reachOf(b)));
  const common = booleanOp(ClipType.Intersection, toPaths(a, scale), toPaths(b, scale), FillRule.NonZero);
  let area = 0;
  for (const path of common) {
    if (path.length >= 3) area += polygonMoments([fromPath(path, scale)]).area;
  }
  return area;
}

/** What of a region lies between two levels of y. Same rounding. */
export function cutToRows(rings: readonly Points2[], from: number, to: number): Points2[] {
  const scale = pathScale(Math.max(reachOf(rings), Math.abs(from), Math.abs(to)));
  const wide = 2 * reachOf(rings);
  const band = Float64Array.of(-wide, from, wide, from, wide, to, -wide, to);
  const kept = booleanOp(
    ClipType.Intersection,
    toPaths(rings, scale),
    toPaths([band], scale),
    FillRule.NonZero,
  );
  return kept.filter((path) => path.length >= 3).map((path) => fromPath(path, scale));
}

/** The region reflected in the line x = 0, rings still running the way they did. */
export function mirrored(rings: readonly Points2[]): Points2[] {
  return rings.map((ring) => {
    const n = ring.length / 2;
    const out = new Float64Array(ring.length);
    for (let i = 0; i < n; i++) {
      out[2 * i] = -ring[2 * (n - 1 - i)];
      out[2 * i + 1] = ring[2 * (n - 1 - i) + 1];
    }
    return out;
  });
}
