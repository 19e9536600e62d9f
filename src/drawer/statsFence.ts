import { summarise } from './statsSummary.ts';

/** Quartile ranges above the upper quartile at which the fence stands. */
export const FENCE_RANGES = 1.5;

/** Tukey 1977: what lies beyond the upper quartile plus 1.5 times the range between the quartiles deserves a look. NaN for fewer than four. */
export function upperFence(values: Float64Array): number {
  const { n, q1, q3 } = summarise(values);
  return n < 4 ? NaN : q3 + FENCE_RANGES * (q3 - q1);
}
