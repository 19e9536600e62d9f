import type { Points2 } from './types.ts';

/** Area, centroid and central second moments of a region bounded by rings (holes run the other way round). */
export interface PolygonMoments {
  readonly area: number;
  readonly x: number;
  readonly y: number;
  /** Central second moments divided by area: ∫(x−x̄)² etc. */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** Exact, by Green's theorem, about the first point so that far-off coordinates lose nothing. */
export function polygonMoments(rings: readonly Points2[]): PolygonMoments {
  const ox = rings[0][0];
  const oy = rings[0][1];
  let area = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 === n ? 0 : i + 2;
      const ax = ring[i] - ox;
      const ay = ring[i + 1] - oy;
      const bx = ring[j] - ox;
      const by = ring[j + 1] - oy;
      const w = ax * by - bx * ay;
      area += w;
      sx += w * (ax + bx);
      sy += w * (ay + by);
      sxx += w * (ax * ax + ax * bx + bx * bx);
      syy += w * (ay * ay + ay * by + by * by);
      sxy += w * (ax * by + 2 * ax * ay + 2 * bx * by + bx * ay);
    }
  }
  area /= 2;
  const x = sx / (6 * area);
  const y = sy / (6 * area);
  return {
    area,
    x: x + ox,
    y: y + oy,
    xx: sxx / (12 * area) - x * x,
    xy: sxy / (24 * area) - x * y,
    yy: syy / (12 * area) - y * y,
  };
}

/** Width of the ellipse with the same second moments as what lies within a ring. */
export function ellipseWidth(ring: Points2): number {
  const { xx, xy, yy } = polygonMoments([ring]);
  const [mean, half] = [(xx + yy) / 2, Math.hypot((xx - yy) / 2, xy)];
  return 4 * Math.sqrt(Math.max(0, mean - half));
}

/** Direction of the major axis, radians from +y counter-clockwise, in (−π/2, π/2]; and major over minor variance. */
export function majorAxis(m: PolygonMoments): { angle: number; ratio: number } {
  // Angle of the major axis from +x, then turned so that it is counted from +y.
  const fromX = Math.atan2(2 * m.xy, m.xx - m.yy) / 2;
  let angle = fromX - Math.PI / 2;
  if (angle <= -Math.PI / 2) angle += Math.PI;
  const mean = (m.xx + m.yy) / 2;
  const spread = Math.hypot((m.xx - m.yy) / 2, m.xy);
  return { angle, ratio: (mean + spread) / Math.max(mean - spread, Number.MIN_VALUE) };
}

/** Area of the part of a region with y ≤ level. */
export function areaBelow(rings: readonly Points2[], level: number): number {
  let twice = 0;
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 === n ? 0 : i + 2;
      // ∮ −(y − level) dx over the boundary lowered onto the half-plane: what lies above contributes nothing.
      const ay = Math.min(0, ring[i + 1] - level);
      const by = Math.min(0, ring[j + 1] - level);
      if (ay === 0 && by === 0) continue;
      let ax = ring[i];
      let bx = ring[j];
      const rise = ring[j + 1] - ring[i + 1];
      if (ay === 0) ax += ((bx - ax) * (level - ring[i + 1])) / rise;
      else if (by === 0) bx = ax + ((bx - ax) * (level - ring[i + 1])) / rise;
      twice -= (ay + by) * (bx - ax);
    }
  }
  return twice / 2;
}

/** A ring turned by −angle and moved so that the line (angle, offset) becomes x = 0 pointing to +y. */
export function alignRing(ring: Points2, angle: number, offset: number): Points2 {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const out = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    out[i] = ring[i] * c + ring[i + 1] * s - offset;
    out[i + 1] = -ring[i] * s + ring[i + 1] * c;
  }
  return out;
}

/** Least and greatest y of a ring. */
export function rangeY(ring: Points2): { readonly min: number; readonly max: number } {
  let min = Infinity;
  let max = -Infinity;
  for (let i = 1; i < ring.length; i += 2) {
    if (ring[i] < min) min = ring[i];
    if (ring[i] > max) max = ring[i];
  }
  return { min, max };
}
