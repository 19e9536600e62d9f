/** What a fit of few parameters to many residuals found. */
export interface LeastSquaresFit {
  readonly parameters: Float64Array;
  readonly residuals: Float64Array;
  /** n × n, row by row: inverse of JᵀJ at the solution; times the residuals' variance it is the covariance. */
  readonly inverse: Float64Array;
  /** Sum of squared residuals. */
  readonly cost: number;
}

/** Writes all residuals for the given parameters. */
export type Residuals = (parameters: Float64Array, out: Float64Array) => void;

const ROUNDS = 60;
/** A step that lowers the cost by less than this share ends the search. */
const ENOUGH = 1e-12;

/**
 * Nonlinear least squares by Levenberg's and Marquardt's damped steps (Marquardt 1963), with central differences of
 * `step` in each parameter: parameters should be near 1 in size. Undefined where the problem is singular.
 */
export function leastSquares(
  residuals: Residuals,
  start: ArrayLike<number>,
  count: number,
  step = 1e-6,
): LeastSquaresFit | undefined {
  const n = start.length;
  let p = Float64Array.from(start);
  let r = new Float64Array(count);
  residuals(p, r);
  let cost = squares(r);
  let damping = 1e-3;
  const jacobian = new Float64Array(count * n);
  for (let round = 0; round < ROUNDS; round++) {
    differentiate(residuals, p, jacobian, count, step);
    const { normal, gradient } = normalEquations(jacobian, r, n);
    let better = false;
    while (!better && damping < 1e12) {
      const damped = Float64Array.from(normal);
      for (let i = 0; i < n; i++) damped[i * n + i] *= 1 + damping;
      const inverse = invertSymmetric(damped, n);
      if (inverse === undefined) {
        damping *= 10;
        continue;
      }
      const trial = p.map((value, i) => value - row(inverse, i, n, gradient));
      const trialResiduals = new Float64Array(count);
      residuals(trial, trialResiduals);
      const trialCost = squares(trialResiduals);
      better = trialCost <= cost;
      if (!better) {
        damping *= 10;
        continue;
      }
      const done = cost - trialCost <= ENOUGH * cost;
      [p, r, cost] = [trial, trialResiduals, trialCost];
      damping = Math.max(1e-12, damping / 10);
      if (done) return finish(residuals, p, r, cost, jacobian, step);
    }
    if (!better) break;
  }
  return finish(residuals, p, r, cost, jacobian, step);
}

function finish(
  residuals: Residuals,
  parameters: Float64Array,
  r: Float64Array,
  cost: number,
  jacobian: Float64Array,
  step: number,
): LeastSquaresFit | undefined {
  if (!Number.isFinite(cost)) return undefined;
  differentiate(residuals, parameters, jacobian, r.length, step);
  const inverse = invertSymmetric(normalEquations(jacobian, r, parameters.length).normal, parameters.length);
  return inverse === undefined ? undefined : { parameters, residuals: r, inverse, cost };
}

function differentiate(
  residuals: Residuals,
  p: Float64Array,
  jacobian: Float64Array,
  count: number,
  step: number,
): void {
  const n = p.length;
  const above = new Float64Array(count);
  const below = new Float64Array(count);
  for (let j = 0; j < n; j++) {
    const moved = Float64Array.from(p);
    moved[j] = p[j] + step;
    residuals(moved, above);
    moved[j] = p[j] - step;
    residuals(moved, below);
    for (let i = 0; i < count; i++) jacobian[i * n + j] = (above[i] - below[i]) / (2 * step);
  }
}

function normalEquations(
  jacobian: Float64Array,
  r: Float64Array,
  n: number,
): { normal: Float64Array; gradient: Float64Array } {
  const normal = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  for (let i = 0; i < r.length; i++) {
    for (let a = 0; a < n; a++) {
      const left = jacobian[i * n + a];
      gradient[a] += left * r[i];
      for (let b = 0; b < n; b++) normal[a * n + b] += left * jacobian[i * n + b];
    }
  }
  return { normal, gradient };
}

/** Inverse of a symmetric positive-definite n × n matrix, by Cholesky; undefined where it is singular. */
export function invertSymmetric(matrix: Float64Array, n: number): Float64Array | undefined {
  const lower = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j];
      for (let k = 0; k < j; k++) sum -= lower[i * n + k] * lower[j * n + k];
      if (i === j) {
        if (!(sum > 1e-14 * Math.abs(matrix[i * n + i]))) return undefined;
        lower[i * n + i] = Math.sqrt(sum);
      } else lower[i * n + j] = sum / lower[j * n + j];
    }
  }
  const inverse = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let c = 0; c < n; c++) {
    for (let i = 0; i < n; i++) {
      let sum = i === c ? 1 : 0;
      for (let k = 0; k < i; k++) sum -= lower[i * n + k] * column[k];
      column[i] = sum / lower[i * n + i];
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = column[i];
      for (let k = i + 1; k < n; k++) sum -= lower[k * n + i] * column[k];
      column[i] = sum / lower[i * n + i];
    }
    for (let i = 0; i < n; i++) inverse[i * n + c] = column[i];
  }
  return inverse;
}

/** x with A·x = b for a symmetric positive-definite A (n × n, row by row); undefined where it is singular. */
export function solveSymmetric(matrix: Float64Array, b: Float64Array): Float64Array | undefined {
  const n = b.length;
  const inverse = invertSymmetric(matrix, n);
  return inverse === undefined ? undefined : b.map((_, i) => row(inverse, i, n, b));
}

/** gᵀ·C·g: the variance of a quantity with gradient g under covariance C. */
export function quadraticForm(matrix: Float64Array, g: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < g.length; i++) sum += g[i] * row(matrix, i, g.length, g);
  return sum;
}

function row(matrix: Float64Array, i: number, n: number, vector: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < n; k++) sum += matrix[i * n + k] * vector[k];
  return sum;
}

function squares(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value * value;
  return sum;
}
