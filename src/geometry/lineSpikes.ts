/** Standard deviations by which a point must stand off the line between its neighbours, beyond what these differ by. */
const SPIKE = 4;

/**
 * Values along a closed line with single points put between their neighbours where they stand off both by far more than
 * noise does. A contour that folds over itself takes the height of either fold where the two cross; no fit that believes
 * the point can take that off. Without noise nothing is changed.
 *
 * @param values one for each point of the line, in order; @param sigma standard deviation of their noise, in their unit
 */
export function withoutSpikes(values: Float64Array, sigma: number): Float64Array {
  const out = Float64Array.from(values);
  const n = values.length;
  if (!(sigma > 0) || n < 4) return out;
  // A point less the mean of two: the variance of one and a half.
  const least = SPIKE * Math.sqrt(1.5) * sigma;
  for (let i = 0; i < n; i++) {
    const before = values[(i + n - 1) % n];
    const after = values[(i + 1) % n];
    const middle = (before + after) / 2;
    if (Math.abs(values[i] - middle) > least + Math.abs(after - before)) out[i] = middle;
  }
  return out;
}
