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
  const b = new Float64Array(6);
  const normal = new Float64Array(36);
  const right = new Float64Array(6);
  let squares = 0;
  for (let i = 0; i < samples.length; i += 3) {
    quadricTerms(samples[i], samples[i + 1], b);
    const v = samples[i + 2];
    squares += v * v;
    for (let j = 0; j < 6; j++) {
      right[j] += b[j] * v;
      for (let k = 0; k <= j; k++) normal[6 * j + k] += b[j] * b[k];
    }
  }
  for (let j = 0; j < 6; j++) for (let k = j + 1; k < 6; k++) normal[6 * j + k] = normal[6 * k + j];
  const terms = solveSymmetric(normal, right);
  if (terms === undefined) return undefined;
  for (let j = 0; j < 6; j++) squares -= terms[j] * right[j];
  return { terms, squares: Math.max(0, squares) };
}
