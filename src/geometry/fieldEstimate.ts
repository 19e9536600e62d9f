/** A value read from samples and its standard error. */
export interface Estimate {
  readonly value: number;
  readonly error: number;
}

/** Standard errors that two estimates may lie apart and still be of one thing. */
export const CONFIDENCE = 2;
/** Errors that differ by less than this share are equal. */
const EQUAL = 1e-6;

/** The estimate of the least error; of several equally sure ones their mean, so that none comes first for how the grid lies. */
export function surest(estimates: readonly Estimate[]): Estimate | undefined {
  let least = Number.POSITIVE_INFINITY;
  for (const { error } of estimates) least = Math.min(least, error);
  let sum = 0;
  let count = 0;
  for (const { value, error } of estimates) {
    if (error > least * (1 + EQUAL)) continue;
    sum += value;
    count++;
  }
  return count === 0 ? undefined : { value: sum / count, error: least };
}

/** Two independent estimates as one, unless they disagree. */
export function fuse(a: Estimate, b: Estimate): Estimate | undefined {
  const varianceA = a.error * a.error;
  const varianceB = b.error * b.error;
  if (Math.abs(a.value - b.value) > CONFIDENCE * Math.sqrt(varianceA + varianceB)) return undefined;
  const whole = varianceA + varianceB;
  if (whole === 0) return undefined;
  return {
    value: (a.value * varianceB + b.value * varianceA) / whole,
    error: Math.sqrt((varianceA * varianceB) / whole),
  };
}
