import { solveSymmetric } from '../geometry/leastSquares.ts';
import { nearestOnRing } from '../geometry/polygonDistance.ts';
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
    // Normal equations: turn about the origin, shift in x, shift in y.
    const normal = new Float64Array(9);
    const against = new Float64Array(3);
    let sum = 0;
    const nearest = nearestOnRing(ring);
    for (const [x, y, nx, ny] of samples) {
      const { x: qx, y: qy } = nearest(x, y);
      const off = (qx - x) * nx + (qy - y) * ny;
      sum += (qx - x) ** 2 + (qy - y) ** 2;
      const row = [qx * ny - qy * nx, nx, ny];
      for (let r = 0; r < 3; r++) {
        against[r] -= row[r] * off;
        for (let c = 0; c < 3; c++) normal[3 * r + c] += row[r] * row[c];
      }
    }
    const now = Math.sqrt(sum / samples.length);
    if (now >= rms - 1e-6) return Math.min(rms, now);
    rms = now;
    const move = solveSymmetric(normal, against);
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
