/**
 * Rows of a linear model that are mostly zero: row i has `perRow` entries, `value[i·perRow + k]` in the coefficient
 * `index[i·perRow + k]`, coefficients ascending within a row.
 */
export interface SparseRows {
  readonly count: number;
  readonly perRow: number;
  readonly coefficients: number;
  readonly index: Uint16Array;
  readonly value: Float64Array;
}

export interface AsymmetricSettings {
  /** Values that stand above the fit by less than this are never held to be outliers; unit of the values. */
  readonly leastOutlier: number;
  /** Rounds of reweighting. */
  readonly rounds: number;
}

export interface AsymmetricFit {
  readonly coefficients: Float64Array;
  /** Robust standard deviation about the fit of the values that have a say in it (1.4826 × weighted median magnitude). */
  readonly spread: number;
}

/** An outlier stands above the fit by about this many spreads. */
const OUTLIER = 2.5;
/** How much wider the scale is below the fit. */
const PIT = 3;

/**
 * Penalised least squares that what stands above the fit can't pull up: minimises Σ wᵢ(yᵢ − rᵢ)² + cᵀPc with weights
 * that are renewed from the residuals e = y − r as 1/(1 + (e/s)²)² (Geman & McClure 1987): what stands far off loses all
 * say. Above the fit s is max(leastOutlier, 2.5 spreads), and the spread is taken over what still has a say, so that s
 * narrows from round to round as lumps lose theirs; below it is three times as wide, so
 * that shallow hollows count and a surface is held in its middle, but a deep pit does not.
 *
 * `weights` 0 leaves a row out. `penalty` is P, coefficients × coefficients, positive definite. O(rounds × (rows × perRow²
 * + coefficients³)).
 */
export function fitAsymmetric(
  rows: SparseRows,
  values: Float64Array,
  weights: Float64Array,
  penalty: Float64Array,
  settings: AsymmetricSettings,
): AsymmetricFit {
  const system = createSystem(rows, values, penalty);
  const renewed = weights.slice();
  system.solve(renewed);
  let spread = spreadOf(system.residuals, weights);
  for (let round = 0; round < settings.rounds; round++) {
    const scale = Math.max(settings.leastOutlier, OUTLIER * spread);
    for (let i = 0; i < rows.count; i++) {
      const e = system.residuals[i] / (system.residuals[i] > 0 ? scale : PIT * scale);
      renewed[i] = weights[i] / ((1 + e * e) * (1 + e * e));
    }
    system.solve(renewed);
    spread = spreadOf(system.residuals, renewed);
  }
  return { coefficients: system.solution, spread };
}

/** Weighted median of the residuals' magnitudes, scaled to a standard deviation of a normal law. */
function spreadOf(residuals: Float64Array, weights: Float64Array): number {
  const order = Uint32Array.from(residuals.keys())
    .filter((i) => weights[i] > 0)
    .sort((i, j) => Math.abs(residuals[i]) - Math.abs(residuals[j]));
  let whole = 0;
  for (const i of order) whole += weights[i];
  let sum = 0;
  for (const i of order) {
    sum += weights[i];
    if (sum >= whole / 2) return 1.4826 * Math.abs(residuals[i]);
  }
  return 0;
}

function createSystem(rows: SparseRows, y: Float64Array, penalty: Float64Array) {
  const n = rows.coefficients;
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  const solution = new Float64Array(n);
  const residuals = new Float64Array(rows.count);
  return {
    solution,
    residuals,
    solve(weights: Float64Array) {
      matrix.set(penalty);
      right.fill(0);
      for (let i = 0; i < rows.count; i++) {
        if (weights[i] !== 0) addRow(matrix, right, rows, i, weights[i], y[i]);
      }
      solveCholesky(matrix, right, solution);
      for (let i = 0; i < rows.count; i++) residuals[i] = y[i] - rowTimes(rows, i, solution);
    },
  };
}

/** Adds one row's share to the lower triangle of the normal matrix and to the right side. */
function addRow(
  matrix: Float64Array,
  right: Float64Array,
  { perRow, coefficients, index, value }: SparseRows,
  i: number,
  weight: number,
  y: number,
): void {
  const start = i * perRow;
  for (let a = start; a < start + perRow; a++) {
    const share = weight * value[a];
    const row = index[a];
    const first = row * coefficients;
    right[row] += share * y;
    for (let b = start; b <= a; b++) matrix[first + index[b]] += share * value[b];
  }
}

function rowTimes({ perRow, index, value }: SparseRows, i: number, solution: Float64Array): number {
  let sum = 0;
  for (let a = i * perRow; a < (i + 1) * perRow; a++) sum += value[a] * solution[index[a]];
  return sum;
}

/** Solves A x = b for a positive definite A given by its lower triangle, which is overwritten by its factor. */
export function solveCholesky(a: Float64Array, b: Float64Array, x: Float64Array): void {
  const n = b.length;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i * n + j];
      for (let k = 0; k < j; k++) sum -= a[i * n + k] * a[j * n + k];
      a[i * n + j] = i === j ? Math.sqrt(sum) : sum / a[j * n + j];
    }
  }
  for (let i = 0; i < n; i++) {
    let sum = b[i];
    for (let k = 0; k < i; k++) sum -= a[i * n + k] * x[k];
    x[i] = sum / a[i * n + i];
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i];
    for (let k = i + 1; k < n; k++) sum -= a[k * n + i] * x[k];
    x[i] = sum / a[i * n + i];
  }
}
