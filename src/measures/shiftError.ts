/** Middles of sixteen equal shares of a normal law of standard deviation 1, the upper half, stretched to a mean square of 1. */
const STEPS = [0.0816, 0.2468, 0.4186, 0.6026, 0.8079, 1.0509, 1.3714, 1.9382] as const;

/**
 * Standard uncertainty of a value read at a place that itself errs normally (JCGM 101:2008, on a fixed sample so that
 * results repeat): by slope × error where the value is smooth there, and right where it steps. In the unit of the value.
 *
 * @param at the value at so much beside the place; @param sigma standard uncertainty of the place, in the unit of `at`
 */
export function shiftError(at: (shift: number) => number, sigma: number): number {
  if (!(sigma > 0)) return 0;
  const here = at(0);
  let squares = 0;
  for (const step of STEPS) {
    squares += (at(step * sigma) - here) ** 2 + (at(-step * sigma) - here) ** 2;
  }
  return Math.sqrt(squares / (2 * STEPS.length));
}
