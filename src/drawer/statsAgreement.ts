import { deviation, mean } from 'd3-array';
import jStat from 'jstat';
import { CONFIDENCE, type Interval, NO_INTERVAL } from './statsTypes.ts';

/** Agreement of two methods, or two observers, over the same pieces. In the measure's own unit. */
export interface Agreement {
  readonly n: number;
  /** Mean of second less first. */
  readonly bias: number;
  readonly biasInterval: Interval;
  /** Standard deviation of the differences. */
  readonly sd: number;
  /** Bias less and plus `factor` standard deviations: about 95 % of differences lie between. */
  readonly lower: number;
  readonly upper: number;
  readonly lowerInterval: Interval;
  readonly upperInterval: Interval;
}

/** Standard normal deviate that 95 % lie within. */
export const LIMIT_FACTOR = 1.959963984540054;

/**
 * Limits of agreement (Bland & Altman 1986). Intervals by t with n − 1 degrees of freedom; the standard error of a limit is
 * √(3/n)·sd, as published. Pairs with a value that is not finite are left out; fewer than two pairs give NaN.
 * `factor`: the paper's worked example uses 2.
 */
export function agreement(
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  factor: number = LIMIT_FACTOR,
): Agreement {
  const differences = Array.from(first, (value, i) => second[i] - value).filter(Number.isFinite);
  const n = differences.length;
  const bias = mean(differences) ?? NaN;
  const sd = deviation(differences) ?? NaN;
  const t = n < 2 ? NaN : jStat.studentt.inv(1 - (1 - CONFIDENCE) / 2, n - 1);
  const around = (centre: number, error: number): Interval =>
    n < 2 ? NO_INTERVAL : { low: centre - t * error, high: centre + t * error };
  const limitError = sd * Math.sqrt(3 / n);
  const [lower, upper] = [bias - factor * sd, bias + factor * sd];
  return {
    n,
    bias,
    biasInterval: around(bias, sd / Math.sqrt(n)),
    sd,
    lower,
    upper,
    lowerInterval: around(lower, limitError),
    upperInterval: around(upper, limitError),
  };
}
