import { alignRing } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';

/** Points of one outline that are compared, and rounds of laying one outline on the other. */
const POINTS = 400;
const ROUNDS = 8;

/**
 * RMS distance, mm, between two outlines of one piece, each in its own specimen frame, after the second has been turned
 * and moved to lie best on the first. The second may lie tip to base: the better of the two ways counts.
 */
export function outlineDifference(first: Points2, second: Points2, length: number): number {
  const turned = alignRing(second, Math.PI, 0).map((v, i) => (i % 2 === 1 ? v + length : v));
  return Math.min(laidOn(first, second), laidOn(first, turned));
}

/** Least squares over turn and shift along the outline's normals, a few rounds of nearest points. */
function laidOn(first: Points2, second: Points2): number {
  const samples = sampled(first);
  let ring = second;
  let rms = Infinity;
  for (let round = 0; round < ROUNDS; round++) {
    // 3 normal equations: turn about the origin, shift in x, shift in y.
    const m = new Float64Array(12);
    let sum = 0;
    for (const [x, y, nx, ny] of samples) {
      const [qx, qy] = nearest(ring, x, y);
      const off = (qx - x) * nx + (qy - y) * ny;
      sum += (qx - x) ** 2 + (qy - y) ** 2;
      const row = [qx * ny - qy * nx, nx, ny, -off];
      for (let r = 0; r < 3; r++) for (let c = 0; c < 4; c++) m[4 * r + c] += row[r] * row[c];
    }
    const now = Math.sqrt(sum / samples.length);
    if (now >= rms - 1e-6) return Math.min(rms, now);
    rms = now;
    const move = solve3(m);
    if (move === undefined) return rms;
    const [c, s] = [Math.cos(move[0]), Math.sin(move[0])];
    ring = ring.map((_, i) => {
      const [px, py] = [ring[i & ~1], ring[i | 1]];
      return (i & 1) === 0 ? c * px - s * py + move[1] : s * px + c * py + move[2];
    });
  }
  return rms;
}

/** Points with unit normals. */
function sampled(ring: Points2): [number, number, number, number][] {
  const n = ring.length / 2;
  const step = Math.max(1, Math.floor(n / POINTS));
  const out: [number, number, number, number][] = [];
  for (let i = 0; i < n; i += step) {
    const [a, b] = [(i + n - step) % n, (i + step) % n];
    const [dx, dy] = [ring[2 * b] - ring[2 * a], ring[2 * b + 1] - ring[2 * a + 1]];
    const size = Math.hypot(dx, dy) || 1;
    out.push([ring[2 * i], ring[2 * i + 1], dy / size, -dx / size]);
  }
  return out;
}

function nearest(ring: Points2, x: number, y: number): [number, number] {
  let least = Infinity;
  let best: [number, number] = [x, y];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const [dx, dy] = [ring[j] - ring[i], ring[j + 1] - ring[i + 1]];
    const square = dx * dx + dy * dy;
    const f =
      square > 0 ? Math.min(1, Math.max(0, ((x - ring[i]) * dx + (y - ring[i + 1]) * dy) / square)) : 0;
    const [qx, qy] = [ring[i] + f * dx, ring[i + 1] + f * dy];
    const d = (qx - x) ** 2 + (qy - y) ** 2;
    if (d < least) [least, best] = [d, [qx, qy]];
  }
  return best;
}

/** 3 × 4 augmented matrix, row by row; undefined when singular. */
function solve3(m: Float64Array): [number, number, number] | undefined {
  for (let p = 0; p < 3; p++) {
    if (!(Math.abs(m[5 * p]) > 1e-12)) return undefined;
    for (let r = 0; r < 3; r++) {
      if (r === p) continue;
      const f = m[4 * r + p] / m[5 * p];
      for (let c = p; c < 4; c++) m[4 * r + c] -= f * m[4 * p + c];
    }
  }
  return [m[3] / m[0], m[7] / m[5], m[11] / m[10]];
}
