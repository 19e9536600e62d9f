import { solveSymmetric } from '../geometry/leastSquares.ts';
import { nearestOnRing } from '../geometry/polygonDistance.ts';
import { alignRing } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';

/** Points of one outline that are compared, and rounds of laying one outline on the other. */
const POINTS = 400;
const ROUNDS = 8;

/** How one outline lies on another: a place (x, y) of its own frame goes to (c·x − s·y + x₀, s·x + c·y + y₀). */
export interface LaidOutline {
  /** RMS distance between the two, mm. */
  readonly rms: number;
  /** Radians, counter-clockwise. */
  readonly turn: number;
  /** x₀, y₀, mm. */
  readonly shift: readonly [x: number, y: number];
}

/**
 * Two outlines of one piece, each in its own specimen frame: the second turned and moved to lie best on the first. It may
 * lie tip to base: the better of the two ways counts.
 */
export function layOutline(first: Points2, second: Points2, length: number): LaidOutline {
  const turned = alignRing(second, Math.PI, 0).map((v, i) => (i % 2 === 1 ? v + length : v));
  const [upright, over] = [laidOn(first, second), laidOn(first, turned)];
  if (upright.rms <= over.rms) return upright;
  // A half turn and a shift by the length went before.
  const { rms, turn, shift } = over;
  const [x, y] = shift;
  return {
    rms,
    turn: turn + Math.PI,
    shift: [x - Math.sin(turn) * length, y + Math.cos(turn) * length],
  };
}

/** Least squares over turn and shift along the outline's normals, a few rounds of nearest points. */
function laidOn(first: Points2, second: Points2): LaidOutline {
  const samples = sampled(first);
  let ring = second;
  let laid: LaidOutline = { rms: Infinity, turn: 0, shift: [0, 0] };
  let [turn, x0, y0] = [0, 0, 0];
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
    const rms = Math.sqrt(sum / samples.length);
    const enough = rms >= laid.rms - 1e-6;
    if (rms < laid.rms) laid = { rms, turn, shift: [x0, y0] };
    if (enough) return laid;
    const move = solveSymmetric(normal, against);
    if (move === undefined) return laid;
    const [c, s] = [Math.cos(move[0]), Math.sin(move[0])];
    turn += move[0];
    [x0, y0] = [c * x0 - s * y0 + move[1], s * x0 + c * y0 + move[2]];
    ring = ring.map((_, i) => {
      const [px, py] = [ring[i & ~1], ring[i | 1]];
      return (i & 1) === 0 ? c * px - s * py + move[1] : s * px + c * py + move[2];
    });
  }
  return laid;
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
