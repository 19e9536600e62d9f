/** Ends of a confidence interval; NaN where it can't be had. */
export interface Interval {
  readonly low: number;
  readonly high: number;
}

/** Share of confidence of every interval that is given. */
export const CONFIDENCE = 0.95;

export const NO_INTERVAL: Interval = { low: NaN, high: NaN };
