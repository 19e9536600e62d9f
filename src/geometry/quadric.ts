import { solveSymmetric } from './leastSquares.ts';

/** The six terms of a polynomial of second degree in two places: 1, u, v, u², uv, v², into `out`. */
export function quadricTerms(u: number, v: number, out: Float64Array): void {
  out[0] = 1;
  out[1] = u;
  out[2] = v;
  out[3] = u * u;
  out[4] = u * v;
  out[5] = v * v;
}

/**
 * A polynomial of second degree by least squares, and the sum of the squares of what it leaves; undefined where that is singular.
 * @param samples u v and value of each; values about zero
 */
export function fitQuadric(samples: Float64Array): { terms: Float64Array; squares: number } | undefined {
  const normal = new Float64Array(36);
  const right = new Float64Array(6);
  let squares = 0;
  for (let i = 0; i < samples.length; i += 3) {
    const v = samples[i + 2];
    squares += v * v;
    addQuadricSample(normal, right, samples[i], samples[i + 1], v);
  }
  for (let j = 0; j < 6; j++) for (let k = j + 1; k < 6; k++) normal[6 * j + k] = normal[6 * k + j];
  const terms = solveSymmetric(normal, right);
  if (terms === undefined) return undefined;
  for (let j = 0; j < 6; j++) squares -= terms[j] * right[j];
  return { terms, squares: Math.max(0, squares) };
}

/**
 * Adds a sample's terms to the lower triangle (6 × 6, row by row) of the normal equations and to their right side. Written
 * out: vertices and tops are fitted by the ten thousand.
 */
export function addQuadricSample(
  m: Float64Array,
  right: Float64Array,
  x: number,
  y: number,
  v: number,
): void {
  const xx = x * x;
  const xy = x * y;
  const yy = y * y;
  right[0] += v;
  right[1] += x * v;
  right[2] += y * v;
  right[3] += xx * v;
  right[4] += xy * v;
  right[5] += yy * v;
  m[0] += 1;
  m[6] += x;
  m[7] += x * x;
  m[12] += y;
  m[13] += y * x;
  m[14] += y * y;
  m[18] += xx;
  m[19] += xx * x;
  m[20] += xx * y;
  m[21] += xx * xx;
  m[24] += xy;
  m[25] += xy * x;
  m[26] += xy * y;
  m[27] += xy * xx;
  m[28] += xy * xy;
  m[30] += yy;
  m[31] += yy * x;
  m[32] += yy * y;
  m[33] += yy * xx;
  m[34] += yy * xy;
  m[35] += yy * yy;
}
