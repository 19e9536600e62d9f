import type { Points2 } from '../../src/geometry/types.ts';
import { crossings } from './axes.ts';
import type { PlanPolygon } from './outlines.ts';
import { createRandom } from './random.ts';

/** A snapped piece: one end is gone. */
export interface SnapSpec {
  /** Design height of the break, mm. The outline must have one chord there. */
  readonly y: number;
  readonly keep: 'base' | 'tip';
  /** How far the break wanders in plan from a straight line, mm. Default 0.6. */
  readonly roughness?: number;
}

/** Plan that is left, and which of its vertices lie on the break. */
export interface PlanDomain {
  /** Counter-clockwise ring. */
  readonly points: Points2;
  /** Vertex indices of the break's two ends, in ring order; the edges between them are the break. */
  readonly break?: { readonly from: number; readonly to: number };
}

/** Cuts the outline; the break runs from margin to margin as a wandering line and ends on the margin itself. */
export function planDomain(shape: PlanPolygon, snap: SnapSpec | undefined, seed: number): PlanDomain {
  if (snap === undefined) return { points: shape.points };
  const p = shape.points;
  const [left, right, ...more] = crossings(p, [snap.y])[0];
  if (left === undefined || right === undefined || more.length > 0) {
    throw new Error(`a break at ${snap.y} mm must cross the outline once`);
  }
  const below = snap.keep === 'base';
  const kept: number[] = [];
  const n = p.length / 2;
  // Start just after the break, so that what is kept is one run of vertices.
  const isKept = (i: number) => (below ? p[2 * i + 1] < snap.y : p[2 * i + 1] > snap.y);
  let start = 0;
  while (isKept(start) || !isKept((start + 1) % n)) start++;
  for (let k = 1; k <= n; k++) {
    const i = (start + k) % n;
    if (isKept(i)) kept.push(p[2 * i], p[2 * i + 1]);
  }
  // Keeping the base, the ring comes up the right side and crosses to the left; keeping the tip, the other way.
  const [x0, x1] = below ? [right, left] : [left, right];
  const from = kept.length / 2;
  const line = breakLine(x0, x1, snap, seed);
  return { points: Float64Array.from([...kept, ...line]), break: { from, to: from + line.length / 2 - 1 } };
}

function breakLine(x0: number, x1: number, snap: SnapSpec, seed: number): number[] {
  const random = createRandom(seed ^ 0x165667b1);
  const waves = [1, 2, 3, 5, 8].map((k) => ({ k, size: random.between(-1, 1) / k }));
  const steps = Math.ceil(Math.abs(x1 - x0) / 0.4);
  const out: number[] = [];
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const rough = waves.reduce((sum, w) => sum + w.size * Math.sin(Math.PI * w.k * t), 0);
    out.push(x0 + (x1 - x0) * t, snap.y + (snap.roughness ?? 0.6) * rough);
  }
  return out;
}

/** Distance from a plan point to the break line, mm. */
export function breakDistance(domain: PlanDomain, x: number, y: number): number {
  if (domain.break === undefined) return Number.POSITIVE_INFINITY;
  const p = domain.points;
  let best = Number.POSITIVE_INFINITY;
  for (let i = domain.break.from; i < domain.break.to; i++) {
    const [ux, uy] = [p[2 * i + 2] - p[2 * i], p[2 * i + 3] - p[2 * i + 1]];
    const [wx, wy] = [x - p[2 * i], y - p[2 * i + 1]];
    const t = Math.min(1, Math.max(0, (wx * ux + wy * uy) / (ux * ux + uy * uy)));
    best = Math.min(best, Math.hypot(wx - t * ux, wy - t * uy));
  }
  return best;
}
