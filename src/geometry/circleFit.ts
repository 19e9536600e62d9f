import type { Points2 } from './types.ts';

export interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  /** Root mean square distance of the points from the circle. */
  readonly rms: number;
}

const ROUNDS = 50;

/**
 * Circle of least squared distance to points (Gauss–Newton from an algebraic start; Coope 1993 for the start).
 * Null where the points lie on a line, or nearly: no circle of finite size is nearest.
 */
export function fitCircle(points: Points2): Circle | null {
  const start = algebraicCircle(points);
  if (start === null) return null;
  const n = points.length / 2;
  let { x, y, radius } = start;
  for (let round = 0; round < ROUNDS; round++) {
    // Normal equations of the residual d − r in (x, y, r), by sums.
    let sx = 0;
    let sy = 0;
    let sxx = 0;
    let sxy = 0;
    let syy = 0;
    let se = 0;
    let sxe = 0;
    let sye = 0;
    for (let i = 0; i < points.length; i += 2) {
      const dx = points[i] - x;
      const dy = points[i + 1] - y;
      const d = Math.hypot(dx, dy);
      if (d === 0) continue;
      const u = -dx / d;
      const v = -dy / d;
      const e = d - radius;
      sx += u;
      sy += v;
      sxx += u * u;
      sxy += u * v;
      syy += v * v;
      se += e;
      sxe += u * e;
      sye += v * e;
    }
    const step = solve3([sxx, sxy, -sx, sxy, syy, -sy, -sx, -sy, n], [-sxe, -sye, se]);
    if (step === null) return null;
    x += step[0];
    y += step[1];
    radius += step[2];
    if (!(radius > 0) || !Number.isFinite(radius)) return null;
    if (Math.abs(step[0]) + Math.abs(step[1]) + Math.abs(step[2]) < 1e-12 * radius) break;
  }
  let sum = 0;
  for (let i = 0; i < points.length; i += 2) {
    sum += (Math.hypot(points[i] - x, points[i + 1] - y) - radius) ** 2;
  }
  return { x, y, radius, rms: Math.sqrt(sum / n) };
}

/** x² + y² = 2ax + 2by + c is linear in a, b, c. */
function algebraicCircle(points: Points2): { x: number; y: number; radius: number } | null {
  const n = points.length / 2;
  if (n < 3) return null;
  let mx = 0;
  let my = 0;
  for (let i = 0; i < points.length; i += 2) {
    mx += points[i] / n;
    my += points[i + 1] / n;
  }
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let xz = 0;
  let yz = 0;
  let mz = 0;
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i] - mx;
    const y = points[i + 1] - my;
    const z = x * x + y * y;
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xz += x * z;
    yz += y * z;
    mz += z / n;
  }
  const det = xx * yy - xy * xy;
  // The lesser variance against the greater: below this the points are a line for double precision.
  if (!(det > 1e-16 * (xx + yy) ** 2)) return null;
  const a = (xz * yy - yz * xy) / (2 * det);
  const b = (yz * xx - xz * xy) / (2 * det);
  return { x: a + mx, y: b + my, radius: Math.sqrt(a * a + b * b + mz) };
}

/** Solves a symmetric 3 × 3 system (row-major) by Cramer's rule; null where it is singular. */
function solve3(m: readonly number[], r: readonly number[]): [number, number, number] | null {
  const [a, b, c, , d, e, , , f] = m;
  const c0 = d * f - e * e;
  const c1 = c * e - b * f;
  const c2 = b * e - c * d;
  const det = a * c0 + b * c1 + c * c2;
  if (!(Math.abs(det) > 1e-18 * Math.abs(a * d * f))) return null;
  const c4 = a * f - c * c;
  const c5 = b * c - a * e;
  const c8 = a * d - b * b;
  return [
    (c0 * r[0] + c1 * r[1] + c2 * r[2]) / det,
    (c1 * r[0] + c4 * r[1] + c5 * r[2]) / det,
    (c2 * r[0] + c5 * r[1] + c8 * r[2]) / det,
  ];
}
