import type { PlanPolygon } from './outlines.ts';

/**
 * A smooth stand-in for the distance to the outline: ψ = (½ ∮ ds/|x−y|³)^(−1/2), in closed form over each segment.
 * ψ is exact for a straight edge, smooth everywhere inside, zero with slope one on the outline (it is the L₃ distance
 * of generalised means). Sums over the right and left side come apart, so that a ridge can be raised between them.
 */
export interface EdgeDistance {
  /** Writes ψ⁻² of the right and the left side at (x, y) into `out`; Infinity on the outline itself. */
  sums(x: number, y: number, out: { right: number; left: number }): void;
}

export function createEdgeDistance(polygon: PlanPolygon): EdgeDistance {
  const n = polygon.points.length / 2;
  const px = new Float64Array(n + 1);
  const py = new Float64Array(n + 1);
  const tx = new Float64Array(n);
  const ty = new Float64Array(n);
  const len = new Float64Array(n);
  for (let i = 0; i <= n; i++) {
    px[i] = polygon.points[2 * (i % n)];
    py[i] = polygon.points[2 * (i % n) + 1];
  }
  for (let i = 0; i < n; i++) {
    len[i] = Math.hypot(px[i + 1] - px[i], py[i + 1] - py[i]);
    tx[i] = (px[i + 1] - px[i]) / len[i];
    ty[i] = (py[i + 1] - py[i]) / len[i];
  }
  /** Σ over segments from…to, ψ⁻² of that stretch. */
  const stretch = (from: number, to: number, x: number, y: number) => {
    let dx = px[from] - x;
    let dy = py[from] - y;
    let r0 = Math.sqrt(dx * dx + dy * dy);
    let total = 0;
    for (let i = from; i < to; i++) {
      const s0 = dx * tx[i] + dy * ty[i];
      const s1 = s0 + len[i];
      const ex = px[i + 1] - x;
      const ey = py[i + 1] - y;
      const r1 = Math.sqrt(ex * ex + ey * ey);
      // ∫ds/(d²+s²)^(3/2) = [s/(d²r)]; where both ends lie on one side the difference is taken without cancelling.
      if (s0 * s1 > 0) {
        total += (len[i] * (s0 + s1)) / (r0 * r1 * (s1 * r0 + s0 * r1));
      } else {
        const cross = dx * ty[i] - dy * tx[i];
        total += (s1 / r1 - s0 / r0) / (cross * cross);
      }
      dx = ex;
      dy = ey;
      r0 = r1;
    }
    return Number.isNaN(total) ? Number.POSITIVE_INFINITY : total / 2;
  };
  return {
    sums(x, y, out) {
      out.right = stretch(0, polygon.tip, x, y);
      out.left = stretch(polygon.tip, n, x, y);
    },
  };
}
