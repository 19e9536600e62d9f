import { EVD, Matrix } from 'ml-matrix';

/** Principal components of a table. */
export interface Components {
  /** Mean of each column. */
  readonly mean: Float64Array;
  /** Unit vectors over the columns, greatest variance first; the entry of greatest size in each is positive. */
  readonly axes: readonly Float64Array[];
  /** Variance along each axis (n − 1), and its share of the whole. */
  readonly variance: Float64Array;
  readonly share: Float64Array;
  /** scores[k][i]: place of row i on axis k. */
  readonly scores: readonly Float64Array[];
}

/**
 * Principal components by the eigenvectors of the covariance matrix (columns centred, not scaled).
 * `count` at most are given, and none beyond what n rows can carry. Fewer than two rows: a RangeError.
 */
export function principalComponents(rows: readonly ArrayLike<number>[], count: number): Components {
  const n = rows.length;
  if (n < 2) throw new RangeError('principal components need at least two pieces');
  const columns = rows[0].length;
  const mean = new Float64Array(columns);
  for (const row of rows) for (let j = 0; j < columns; j++) mean[j] += row[j] / n;
  const centred = rows.map((row) => Float64Array.from(row, (value, j) => value - mean[j]));
  const decomposed = new EVD(covariance(centred), { assumeSymmetric: true });
  const order = decomposed.realEigenvalues
    .map((value, k) => ({ value: Math.max(0, value), k }))
    .sort((a, b) => b.value - a.value);
  const total = order.reduce((sum, { value }) => sum + value, 0);
  const kept = order.slice(0, Math.min(count, columns, n - 1));
  const axes = kept.map(({ k }) => turned(Float64Array.from(decomposed.eigenvectorMatrix.getColumn(k))));
  return {
    mean,
    axes,
    variance: Float64Array.from(kept, ({ value }) => value),
    share: Float64Array.from(kept, ({ value }) => (total > 0 ? value / total : 0)),
    scores: axes.map((axis) => Float64Array.from(centred, (row) => dot(row, axis))),
  };
}

/** n − 1 in the denominator. */
function covariance(centred: readonly Float64Array[]): Matrix {
  const columns = centred[0].length;
  const sums = new Float64Array(columns * columns);
  for (const row of centred) {
    for (let i = 0; i < columns; i++) {
      const value = row[i];
      if (value === 0) continue;
      for (let j = i; j < columns; j++) sums[i * columns + j] += value * row[j];
    }
  }
  const out = Matrix.zeros(columns, columns);
  for (let i = 0; i < columns; i++) {
    for (let j = i; j < columns; j++) {
      const value = sums[i * columns + j] / (centred.length - 1);
      out.set(i, j, value);
      out.set(j, i, value);
    }
  }
  return out;
}

/** Which way an eigenvector points means nothing: it is made the same every time. */
function turned(axis: Float64Array): Float64Array {
  const greatest = axis.reduce((best, value) => (Math.abs(value) > Math.abs(best) + 1e-12 ? value : best), 0);
  return greatest < 0 ? axis.map((value) => -value) : axis;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i] * b[i];
  return sum;
}
