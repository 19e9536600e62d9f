import { invertSymmetric } from './leastSquares.ts';
import type { Points2 } from './types.ts';

/** A 3 × 3 matrix, row by row, that takes plane points to plane points in homogeneous coordinates. */
export type Homography = Float64Array;

/**
 * The homography that takes `from` to `to` (2 × n each, n ≥ 4) with the least sum of squared algebraic errors, on
 * coordinates brought to unit size first (Hartley 1997). Undefined where the points do not settle it.
 */
export function fitHomography(from: Points2, to: Points2): Homography | undefined {
  const [a, b] = [normaliser(from), normaliser(to)];
  const normal = new Float64Array(64);
  const right = new Float64Array(8);
  const add = (coefficients: readonly number[], value: number): void => {
    for (let i = 0; i < 8; i++) {
      right[i] += coefficients[i] * value;
      for (let j = 0; j < 8; j++) normal[8 * i + j] += coefficients[i] * coefficients[j];
    }
  };
  for (let i = 0; i < from.length; i += 2) {
    const [x, y] = [(from[i] - a.x) * a.scale, (from[i + 1] - a.y) * a.scale];
    const [u, v] = [(to[i] - b.x) * b.scale, (to[i + 1] - b.y) * b.scale];
    add([x, y, 1, 0, 0, 0, -u * x, -u * y], u);
    add([0, 0, 0, x, y, 1, -v * x, -v * y], v);
  }
  const inverse = invertSymmetric(normal, 8);
  if (inverse === undefined) return undefined;
  const h = new Float64Array(9);
  for (let i = 0; i < 8; i++) for (let j = 0; j < 8; j++) h[i] += inverse[8 * i + j] * right[j];
  h[8] = 1;
  const into = Float64Array.of(a.scale, 0, -a.scale * a.x, 0, a.scale, -a.scale * a.y, 0, 0, 1);
  const back = Float64Array.of(1 / b.scale, 0, b.x, 0, 1 / b.scale, b.y, 0, 0, 1);
  return multiply3(back, multiply3(h, into));
}

/** Points through a homography, in place. */
export function project(h: Homography, points: Points2): void {
  for (let i = 0; i < points.length; i += 2) {
    const x = points[i];
    const y = points[i + 1];
    const w = h[6] * x + h[7] * y + h[8];
    points[i] = (h[0] * x + h[1] * y + h[2]) / w;
    points[i + 1] = (h[3] * x + h[4] * y + h[5]) / w;
  }
}

/** a·b, 3 × 3 row by row. */
export function multiply3(a: Float64Array, b: Float64Array): Float64Array {
  const product = new Float64Array(9);
  for (let i = 0; i < 3; i++) {
    for (let j = 0; j < 3; j++) {
      product[3 * i + j] = a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
    }
  }
  return product;
}

/** Inverse of a 3 × 3 matrix, row by row. */
export function invert3(m: Float64Array): Float64Array {
  const [a, b, c, d, e, f, g, h, i] = m;
  const [p, q, r] = [e * i - f * h, f * g - d * i, d * h - e * g];
  const whole = a * p + b * q + c * r;
  return Float64Array.of(
    p / whole,
    (c * h - b * i) / whole,
    (b * f - c * e) / whole,
    q / whole,
    (a * i - c * g) / whole,
    (c * d - a * f) / whole,
    r / whole,
    (b * g - a * h) / whole,
    (a * e - b * d) / whole,
  );
}

function normaliser(points: Points2): { x: number; y: number; scale: number } {
  let [x, y] = [0, 0];
  const n = points.length / 2;
  for (let i = 0; i < points.length; i += 2) {
    x += points[i] / n;
    y += points[i + 1] / n;
  }
  let spread = 0;
  for (let i = 0; i < points.length; i += 2) spread += Math.hypot(points[i] - x, points[i + 1] - y) / n;
  return { x, y, scale: spread > 0 ? Math.SQRT2 / spread : 1 };
}
