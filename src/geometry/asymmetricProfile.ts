/**
 * The best product of a row factor and a column factor to a table in the sense of least absolute error:
 * min Σ wᵢⱼ |vᵢⱼ − aᵢ·bⱼ|, by turns of weighted medians. What fills less than half of a row's or a column's weight, however
 * tall, moves neither. Cells of weight 0 take no part; a column without any gets NaN.
 *
 * `values` and `weights` are rows × columns, row-major. Returns b scaled to a greatest magnitude of one.
 */
export function commonProfile(values: Float64Array, weights: Float64Array, columns: number): Float64Array {
  const rows = values.length / columns;
  const a = new Float64Array(rows);
  const b = new Float64Array(columns).fill(1);
  for (let turn = 0; turn < TURNS; turn++) {
    factors(a, b, columns, 1, values, weights);
    factors(b, a, 1, columns, values, weights);
  }
  const most = b.reduce((m, v) => Math.max(m, Math.abs(v) || 0), 0);
  return most > 0 ? b.map((v) => v / most) : b;
}

const TURNS = 5;

/**
 * Renews `out` given `other`: each is the weighted median of v/other with weights w·|other|. Entry (i, j) of the table is
 * `i·step + j·otherStep`.
 */
function factors(
  out: Float64Array,
  other: Float64Array,
  step: number,
  otherStep: number,
  values: Float64Array,
  weights: Float64Array,
): void {
  const ratios = new Float64Array(other.length);
  const says = new Float64Array(other.length);
  for (let i = 0; i < out.length; i++) {
    let n = 0;
    for (let j = 0; j < other.length; j++) {
      const k = i * step + j * otherStep;
      const say = weights[k] * Math.abs(other[j]);
      if (!(say > 0)) continue;
      ratios[n] = values[k] / other[j];
      says[n++] = say;
    }
    out[i] = weightedMedian(ratios.subarray(0, n), says.subarray(0, n));
  }
}

/** Least value at which the weights of all values up to it reach half of the whole; NaN of nothing. */
export function weightedMedian(values: ArrayLike<number>, weights: ArrayLike<number>): number {
  const order = Array.from({ length: values.length }, (_, i) => i).sort((i, j) => values[i] - values[j]);
  let whole = 0;
  for (let i = 0; i < values.length; i++) whole += weights[i];
  let sum = 0;
  for (const i of order) {
    sum += weights[i];
    if (sum >= whole / 2) return values[i];
  }
  return NaN;
}
