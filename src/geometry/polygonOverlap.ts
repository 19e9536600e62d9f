import { booleanOp, ClipType, FillRule, type Path64 } from 'clipper2-ts';
import { polygonMoments } from './polygonMoments.ts';
import type { Points2 } from './types.ts';

/** Coordinates are rounded to whole numbers up to this: products stay exact, and a 400 mm ring is kept to 25 nm. */
const LARGEST = 2 ** 24;

/**
 * Area of the intersection of two regions (rings; holes run the other way round). Exact but for rounding the
 * coordinates to 2⁻²⁴ of the greatest.
 */
export function overlapArea(a: readonly Points2[], b: readonly Points2[]): number {
  const scale = LARGEST / Math.max(reach(a), reach(b), Number.MIN_VALUE);
  const common = booleanOp(ClipType.Intersection, toPaths(a, scale), toPaths(b, scale), FillRule.NonZero);
  let area = 0;
  for (const path of common) {
    if (path.length >= 3) area += polygonMoments([fromPath(path, scale)]).area;
  }
  return area;
}

/** What of a region lies between two levels of y. Same rounding. */
export function cutToRows(rings: readonly Points2[], from: number, to: number): Points2[] {
  const scale = LARGEST / Math.max(reach(rings), Math.abs(from), Math.abs(to), Number.MIN_VALUE);
  const wide = 2 * reach(rings);
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

function reach(rings: readonly Points2[]): number {
  let most = 0;
  for (const ring of rings) for (const value of ring) most = Math.max(most, Math.abs(value));
  return most;
}

function toPaths(rings: readonly Points2[], scale: number): Path64[] {
  return rings.map((ring) => {
    const path: Path64 = [];
    for (let i = 0; i < ring.length; i += 2) {
      path.push({ x: Math.round(ring[i] * scale), y: Math.round(ring[i + 1] * scale) });
    }
    return path;
  });
}

function fromPath(path: Path64, scale: number): Points2 {
  const ring = new Float64Array(2 * path.length);
  path.forEach(({ x, y }, i) => {
    ring[2 * i] = x / scale;
    ring[2 * i + 1] = y / scale;
  });
  return ring;
}
