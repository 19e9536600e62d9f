import jStat from 'jstat';
import { summarise } from './statsSummary.ts';
import { CONFIDENCE, type Interval, NO_INTERVAL } from './statsTypes.ts';

/** How far two groups lie apart. NaN where a group has fewer than two values. */
export interface Effect {
  /** Mean of the second less mean of the first, in the measure's unit, with Welch's interval. */
  readonly difference: number;
  readonly differenceInterval: Interval;
  /** The same over the pooled standard deviation, freed of small-sample bias (Hedges 1981), with its interval. */
  readonly g: number;
  readonly gInterval: Interval;
}

/**
 * Difference of means with the interval of Welch 1947, and Hedges' g = J·d with J = 1 − 3/(4·df − 1) and the large-sample
 * interval of Hedges & Olkin 1985: variance (n₁ + n₂)/(n₁n₂) + g²/(2(n₁ + n₂)).
 */
export function effect(first: ArrayLike<number>, second: ArrayLike<number>): Effect {
  const [a, b] = [summarise(first), summarise(second)];
  const difference = b.mean - a.mean;
  if (a.n < 2 || b.n < 2) {
    return { difference, differenceInterval: NO_INTERVAL, g: NaN, gInterval: NO_INTERVAL };
  }
  const df = a.n + b.n - 2;
  const pooled = Math.sqrt(((a.n - 1) * a.sd ** 2 + (b.n - 1) * b.sd ** 2) / df);
  const g = ((1 - 3 / (4 * df - 1)) * difference) / pooled;
  const gError = Math.sqrt((a.n + b.n) / (a.n * b.n) + g ** 2 / (2 * (a.n + b.n)));
  const z = jStat.normal.inv(1 - (1 - CONFIDENCE) / 2, 0, 1);
  return {
    difference,
    differenceInterval: welch(difference, a, b),
    g: Number.isFinite(g) ? g : NaN,
    gInterval: Number.isFinite(g) ? { low: g - z * gError, high: g + z * gError } : NO_INTERVAL,
  };
}

interface Spread {
  readonly n: number;
  readonly sd: number;
}

function welch(difference: number, a: Spread, b: Spread): Interval {
  const [va, vb] = [a.sd ** 2 / a.n, b.sd ** 2 / b.n];
  if (va + vb === 0) return { low: difference, high: difference };
  const df = (va + vb) ** 2 / (va ** 2 / (a.n - 1) + vb ** 2 / (b.n - 1));
  const half = jStat.studentt.inv(1 - (1 - CONFIDENCE) / 2, df) * Math.sqrt(va + vb);
  return { low: difference - half, high: difference + half };
}
