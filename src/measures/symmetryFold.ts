import { type PlanarCurve, planarCurve, sampleCurve } from '../geometry/curvePlanar.ts';
import type { Points2 } from '../geometry/types.ts';

/** The two places where the length axis (x = 0) leaves an outline. */
export interface AxisEnds {
  readonly curve: PlanarCurve;
  /** Arc lengths of the crossing at the tip and at the base. */
  readonly tip: number;
  readonly base: number;
}

/** Null where the axis misses the outline. */
export function axisEnds(ring: Points2): AxisEnds | null {
  const curve = planarCurve(ring);
  const { points, arc, length } = curve;
  const n = arc.length;
  let tip: { arc: number; y: number } | null = null;
  let base: { arc: number; y: number } | null = null;
  for (let i = 0; i < n; i++) {
    const a = 2 * i;
    const b = 2 * ((i + 1) % n);
    // Half-open, so that a crossing at a vertex counts once.
    if (points[a] < 0 === points[b] < 0) continue;
    const f = points[a] / (points[a] - points[b]);
    const y = points[a + 1] + f * (points[b + 1] - points[a + 1]);
    const place = arc[i] + f * ((i + 1 < n ? arc[i + 1] : length) - arc[i]);
    if (tip === null || y > tip.y) tip = { arc: place, y };
    if (base === null || y < base.y) base = { arc: place, y };
  }
  return tip === null || base === null || tip.y === base.y ? null : { curve, tip: tip.arc, base: base.arc };
}

/**
 * Continuous symmetry measure for a mirror on x = 0 (H. Zabrodsky, S. Peleg & D. Avnir 1995): points paired at equal
 * shares of arc length from tip to base, one of each pair reflected, the two averaged and reflected back.
 * 100·Σ|P − P̂|² / Σ|P − centroid|²; 0 is perfect.
 */
export function continuousSymmetry(ends: AxisEnds, pairs: number): number {
  const { curve, tip, base } = ends;
  const ahead = (to: number): number => (to > tip ? to : to + curve.length);
  // Counter-clockwise from the tip: down the left side.
  const left = sampleCurve(curve, tip, ahead(base), pairs);
  const right = sampleCurve(curve, tip, ahead(base) - curve.length, pairs);
  let moved = 0;
  let mx = 0;
  let my = 0;
  for (let i = 0; i < left.length; i += 2) {
    // |P − P̂|² of both is a quarter each of the squared distance between one and the reflection of the other.
    moved += ((left[i] + right[i]) ** 2 + (left[i + 1] - right[i + 1]) ** 2) / 2;
    mx += left[i] + right[i];
    my += left[i + 1] + right[i + 1];
  }
  const n = left.length;
  mx /= n;
  my /= n;
  let spread = 0;
  for (const side of [left, right]) {
    for (let i = 0; i < side.length; i += 2) spread += (side[i] - mx) ** 2 + (side[i + 1] - my) ** 2;
  }
  return (100 * moved) / spread;
}
