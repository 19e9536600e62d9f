/** Number of cubic B-splines over `intervals` equal intervals of [0, 1]. */
export function splineCount(intervals: number): number {
  return intervals + 3;
}

/**
 * The four uniform cubic B-splines that are not zero at `u` in [0, 1], written to `out`; returns the number of the first.
 * They sum to one.
 */
export function splinesAt(u: number, intervals: number, out: Float64Array): number {
  const at = Math.max(0, u * intervals);
  const first = Math.min(intervals - 1, Math.floor(at));
  const f = Math.min(1, at - first);
  const g = 1 - f;
  out[0] = (g * g * g) / 6;
  out[1] = (3 * f * f * f - 6 * f * f + 4) / 6;
  out[2] = (3 * g * g * g - 6 * g * g + 4) / 6;
  out[3] = (f * f * f) / 6;
  return first;
}

/**
 * Adds weight × (second difference)² of the coefficients `start`, `start + step`, … (`count` of them) to a penalty matrix
 * of `size` rows: what Eilers & Marx (1996) put on B-splines to make them stiff.
 */
export function addRoughness(
  penalty: Float64Array,
  size: number,
  start: number,
  step: number,
  count: number,
  weight: number,
): void {
  const difference = [1, -2, 1];
  for (let k = 0; k + 2 < count; k++) {
    const first = start + k * step;
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        penalty[(first + i * step) * size + first + j * step] += weight * difference[i] * difference[j];
      }
    }
  }
}
