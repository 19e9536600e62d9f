/** Standard errors that two estimates may lie apart before the wider one is refused: more would let it bend with what it covers. */
const CONFIDENCE = 1.3;
/** Half-widths of the fits tried, in samples. */
const HALF_WIDTHS = [2, 3, 4, 5, 6, 8, 10];

/**
 * The value of a noisy series at a place, without most of the noise: quadratics fitted to windows that widen as long as
 * they agree with all narrower ones (intersection of confidence intervals, as in `calmField.ts`).
 *
 * @param place rising places of the samples; NaN samples end a window
 * @param at where the value is wanted, with `sample`, what was measured there alone
 * @param sigma standard deviation of one sample's noise; 0 gives the sample back
 * @param grain distance between places whose noise is independent, in the unit of `place`
 */
export function calmSeries(
  place: Float64Array,
  value: Float64Array,
  at: number,
  sample: number,
  sigma: number,
  grain: number,
): { value: number; error: number } {
  let best = { value: sample, error: sigma };
  if (!(sigma > 0)) return best;
  const middle = nearest(place, at);
  let low = sample - CONFIDENCE * sigma;
  let high = sample + CONFIDENCE * sigma;
  for (const half of HALF_WIDTHS) {
    if (middle < half || middle + half >= place.length) break;
    if (isKinked(value, middle - half, middle + half, sigma)) break;
    const fit = quadraticAt(place, value, middle - half, middle + half, at);
    if (fit === undefined || fit.variance > mostVariance(2 * half - 2) * sigma * sigma) break;
    const shared = Math.max(1, (grain * 2 * half) / (place[middle + half] - place[middle - half]));
    const error = sigma * Math.min(1, Math.sqrt(fit.squares * shared));
    low = Math.max(low, fit.value - CONFIDENCE * error);
    high = Math.min(high, fit.value + CONFIDENCE * error);
    if (low > high) break;
    if (error < best.error) best = { value: fit.value, error };
  }
  return best;
}

/** Three samples in a row bend by more than this many standard deviations of what noise would show: a quadratic rounds that off. */
const KINK = 3 * Math.sqrt(6);

function isKinked(value: Float64Array, from: number, to: number, sigma: number): boolean {
  for (let k = from + 1; k < to; k++) {
    if (Math.abs(value[k - 1] - 2 * value[k] + value[k + 1]) > KINK * sigma) return true;
  }
  return false;
}

/**
 * A window whose samples scatter round its fit by more than this many times their variance has a jump or a bend in it:
 * 2.5 standard deviations above what noise alone would show with so many degrees of freedom.
 */
function mostVariance(freedom: number): number {
  return 1 + 2.5 * Math.sqrt(2 / freedom);
}

function nearest(place: Float64Array, at: number): number {
  let k = 0;
  while (k + 1 < place.length && Math.abs(place[k + 1] - at) <= Math.abs(place[k] - at)) k++;
  return k;
}

/**
 * Least-squares quadratic at a place, the sum of the squares of the weights that samples have in it, and the variance
 * of the samples about it.
 */
function quadraticAt(
  place: Float64Array,
  value: Float64Array,
  from: number,
  to: number,
  at: number,
): { value: number; squares: number; variance: number } | undefined {
  const scale = 2 / (place[to] - place[from]);
  // Moments 0 to 4 of the places about the place that is asked for.
  const m = [0, 0, 0, 0, 0];
  for (let k = from; k <= to; k++) {
    if (Number.isNaN(value[k])) return undefined;
    const t = (place[k] - at) * scale;
    for (let p = 0, power = 1; p < 5; p++, power *= t) m[p] += power;
  }
  // First row of the inverse of the normal matrix, by cofactors.
  const a = m[2] * m[4] - m[3] * m[3];
  const b = m[2] * m[3] - m[1] * m[4];
  const c = m[1] * m[3] - m[2] * m[2];
  const determinant = m[0] * a + m[1] * b + m[2] * c;
  if (!(Math.abs(determinant) > 1e-9)) return undefined;
  // Solution of the normal equations: value, slope and bend at the place.
  const d = m[0] * m[4] - m[2] * m[2];
  const e = m[1] * m[2] - m[0] * m[3];
  const f = m[0] * m[2] - m[1] * m[1];
  let squares = 0;
  const fitted = [0, 0, 0];
  for (let k = from; k <= to; k++) {
    const t = (place[k] - at) * scale;
    const weight = (a + b * t + c * t * t) / determinant;
    squares += weight * weight;
    fitted[0] += weight * value[k];
    fitted[1] += ((b + d * t + e * t * t) / determinant) * value[k];
    fitted[2] += ((c + e * t + f * t * t) / determinant) * value[k];
  }
  let residual = 0;
  for (let k = from; k <= to; k++) {
    const t = (place[k] - at) * scale;
    residual += (value[k] - fitted[0] - fitted[1] * t - fitted[2] * t * t) ** 2;
  }
  return { value: fitted[0], squares, variance: residual / (to - from - 2) };
}
