import { type ClosedLine, distanceBack } from './closedLine.ts';
import { invertSymmetric } from './leastSquares.ts';

/** Points nearer to a corner than this many mean spacings, or standard deviations of noise, may lie on either of its sides. */
const GAP_SPACINGS = 1.5;
const GAP_SIGMAS = 2;
/** A side is told by at least so many points. */
const LEAST_POINTS = 8;
/** Lengths of the sides tried, in mean spacings. */
const REACHES = [10, 14, 20, 28, 36, 46];
/** Standard errors that two estimates of where a side ends may lie apart before the longer side is refused. */
const CONFIDENCE = 2;

/** One side of a corner: v = a + b·u + c·u² in a frame at the corner, u along the side and away from the corner. */
export interface CornerSide {
  readonly origin: readonly [number, number];
  readonly along: readonly [number, number];
  readonly fit: readonly [number, number, number];
  /** Covariance of the fit's coefficients, 3 × 3 row by row. */
  readonly covariance: Float64Array;
  /** Arc length next to the corner whose points were left out. */
  readonly gap: number;
}

/**
 * The side of a corner as a parabola, as long as longer ones agree on where it ends (intersection of confidence intervals)
 * and its points scatter round it no more than noise does. Undefined where too few points tell it.
 *
 * @param step which side: 1 ahead, −1 back; @param room arc length to the next corner; @param sigma noise across the line
 */
export function cornerSide(
  line: ClosedLine,
  corner: number,
  step: 1 | -1,
  room: number,
  sigma: number,
): CornerSide | undefined {
  const n = line.arc.length;
  const spacing = line.length / n;
  const gap = Math.max(GAP_SPACINGS * spacing, GAP_SIGMAS * sigma);
  // The next corner has points of its own that may lie on either side of it.
  const most = room - gap;
  const points: number[] = [];
  let best: CornerSide | undefined;
  let along: readonly [number, number] | undefined;
  let low = -Infinity;
  let high = Infinity;
  let steps = 1;
  for (const reach of REACHES) {
    const before = points.length;
    for (; steps < n / 3; steps++) {
      const away = step === 1 ? distanceAhead(line, corner, steps) : distanceBackFrom(line, corner, steps);
      if (away > Math.min(reach * spacing, most)) break;
      if (away >= gap) points.push((corner + step * steps + n) % n);
    }
    if (points.length < LEAST_POINTS) continue;
    if (points.length === before) break;
    along ??= directionOf(line, corner, points);
    const side = fitSide(line, corner, points, along, gap, sigma);
    if (side === undefined) break;
    const error = CONFIDENCE * Math.sqrt(side.covariance[0]);
    low = Math.max(low, side.fit[0] - error);
    high = Math.min(high, side.fit[0] + error);
    if (low > high) break;
    best = side;
  }
  return best;
}

function distanceAhead({ arc, length }: ClosedLine, from: number, steps: number): number {
  return distanceBack(arc, length, arc.length, (from + steps) % arc.length, steps);
}

function distanceBackFrom({ arc, length }: ClosedLine, from: number, steps: number): number {
  return distanceBack(arc, length, arc.length, from, steps);
}

/** Unit vector from the corner to the middle of the points. */
function directionOf(line: ClosedLine, corner: number, points: readonly number[]): readonly [number, number] {
  const [x, y] = line.channels;
  let dx = 0;
  let dy = 0;
  for (const j of points) {
    dx += x[j] - x[corner];
    dy += y[j] - y[corner];
  }
  const size = Math.hypot(dx, dy) || 1;
  return [dx / size, dy / size];
}

/** Least squares; undefined where the points scatter by more than noise explains (2.5 standard deviations of a variance). */
function fitSide(
  line: ClosedLine,
  corner: number,
  points: readonly number[],
  along: readonly [number, number],
  gap: number,
  sigma: number,
): CornerSide | undefined {
  const [x, y] = line.channels;
  const origin = [x[corner], y[corner]] as const;
  const normal = new Float64Array(9);
  const against = new Float64Array(3);
  let squares = 0;
  for (const j of points) {
    const [u, v] = inFrame(origin, along, x[j], y[j]);
    const row = [1, u, u * u];
    for (let r = 0; r < 3; r++) {
      against[r] += row[r] * v;
      for (let c = 0; c < 3; c++) normal[3 * r + c] += row[r] * row[c];
    }
    squares += v * v;
  }
  const inverse = invertSymmetric(normal, 3);
  if (inverse === undefined) return undefined;
  const fit = [0, 3, 6].map(
    (r) => inverse[r] * against[0] + inverse[r + 1] * against[1] + inverse[r + 2] * against[2],
  ) as [number, number, number];
  const left = squares - fit[0] * against[0] - fit[1] * against[1] - fit[2] * against[2];
  const freedom = points.length - 3;
  if (left > freedom * sigma * sigma * (1 + 2.5 * Math.sqrt(2 / freedom))) return undefined;
  return { origin, along, fit, covariance: inverse.map((c) => c * sigma * sigma), gap };
}

function inFrame(
  origin: readonly [number, number],
  [tx, ty]: readonly [number, number],
  x: number,
  y: number,
): readonly [number, number] {
  const dx = x - origin[0];
  const dy = y - origin[1];
  return [dx * tx + dy * ty, dy * tx - dx * ty];
}

/** Distance along a side's frame of a point, from the corner. */
export function alongSide({ origin, along }: CornerSide, x: number, y: number): number {
  return inFrame(origin, along, x, y)[0];
}

/** Point, unit tangent (away from the corner) and standard deviation across it of a side at u. */
export function onSide(
  { origin, along: [tx, ty], fit: [a, b, c], covariance: k }: CornerSide,
  u: number,
): {
  readonly at: readonly [number, number];
  readonly tangent: readonly [number, number];
  readonly sigma: number;
} {
  const v = a + b * u + c * u * u;
  const slope = b + 2 * c * u;
  const size = Math.hypot(1, slope);
  const row = [1, u, u * u];
  let variance = 0;
  for (let r = 0; r < 3; r++) for (let s = 0; s < 3; s++) variance += row[r] * row[s] * k[3 * r + s];
  return {
    at: [origin[0] + u * tx - v * ty, origin[1] + u * ty + v * tx],
    tangent: [(tx - slope * ty) / size, (ty + slope * tx) / size],
    sigma: Math.sqrt(Math.max(0, variance)) / size,
  };
}
