import jStat from 'jstat';
import { CONFIDENCE, type Interval, NO_INTERVAL } from './statsTypes.ts';

export type IccForm = '1,1' | '2,1' | '3,1' | '1,k' | '2,k' | '3,k';

export interface Icc {
  readonly form: IccForm;
  readonly value: number;
  readonly interval: Interval;
}

/** The form for the mean of all judges that belongs to each form for one. */
const AVERAGE_OF: Readonly<Record<IccForm, IccForm>> = {
  '1,1': '1,k',
  '2,1': '2,k',
  '3,1': '3,k',
  '1,k': '1,k',
  '2,k': '2,k',
  '3,k': '3,k',
};

/** Mean squares of an n × k table: between targets, within targets, between judges, residual. */
export interface MeanSquares {
  readonly targets: number;
  readonly judges: number;
  readonly between: number;
  readonly within: number;
  readonly judge: number;
  readonly error: number;
}

/**
 * The six intraclass correlations of Shrout & Fleiss 1979 with their 95 % confidence intervals. Rows are targets (pieces),
 * columns judges (observers); every cell is filled. (1,·): judges of each target drawn anew; (2,·): the same judges, drawn
 * from many; (3,·): the same judges and no others. (·,1): one measurement; (·,k): the mean of all k.
 * At least two rows and two columns; else a RangeError.
 */
export function intraclass(table: readonly ArrayLike<number>[]): Icc[] {
  const squares = meanSquares(table);
  const single = [oneWay(squares), twoWayRandom(squares), twoWayMixed(squares)];
  const averages = single.map(({ form, value, interval }): Icc => {
    const up = (r: number): number => stepUp(r, squares.judges);
    return {
      form: AVERAGE_OF[form],
      value: up(value),
      interval: { low: up(interval.low), high: up(interval.high) },
    };
  });
  return [...single, ...averages];
}

/** Reliability of the mean of k measurements from that of one (Spearman and Brown): the (·,k) forms follow from the (·,1). */
function stepUp(r: number, k: number): number {
  return (k * r) / (1 + (k - 1) * r);
}

export function meanSquares(table: readonly ArrayLike<number>[]): MeanSquares {
  const n = table.length;
  const k = n === 0 ? 0 : table[0].length;
  if (n < 2 || k < 2 || table.some((row) => row.length !== k)) {
    throw new RangeError(
      'an intraclass correlation needs at least two pieces, each measured by the same two or more',
    );
  }
  const rows = table.map((row) => mean(Array.from(row)));
  const columns = Array.from({ length: k }, (_, j) => mean(table.map((row) => row[j])));
  const grand = mean(rows);
  const squares = (values: readonly number[]): number => values.reduce((s, v) => s + (v - grand) ** 2, 0);
  let within = 0;
  let error = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < k; j++) {
      within += (table[i][j] - rows[i]) ** 2;
      error += (table[i][j] - rows[i] - columns[j] + grand) ** 2;
    }
  }
  return {
    targets: n,
    judges: k,
    between: (k * squares(rows)) / (n - 1),
    within: within / (n * (k - 1)),
    judge: (n * squares(columns)) / (k - 1),
    error: error / ((n - 1) * (k - 1)),
  };
}

function oneWay({ targets: n, judges: k, between, within }: MeanSquares): Icc {
  return fromRatio('1,1', between, within, k, n - 1, n * (k - 1));
}

function twoWayMixed({ targets: n, judges: k, between, error }: MeanSquares): Icc {
  return fromRatio('3,1', between, error, k, n - 1, (n - 1) * (k - 1));
}

/** (F − 1)/(F + k − 1) rises with F: the interval of F carries over. */
function fromRatio(form: IccForm, top: number, bottom: number, k: number, df1: number, df2: number): Icc {
  const fromF = (f: number): number => (f === Infinity ? 1 : (f - 1) / (f + k - 1));
  const f = top / bottom;
  return {
    form,
    value: fromF(f),
    interval: Number.isNaN(f)
      ? NO_INTERVAL
      : { low: fromF(f / upperF(df1, df2)), high: fromF(f * upperF(df2, df1)) },
  };
}

/** Interval by Satterthwaite's degrees of freedom, as Shrout & Fleiss give it. */
function twoWayRandom({ targets: n, judges: k, between, judge, error }: MeanSquares): Icc {
  const value = (between - error) / (between + (k - 1) * error + (k * (judge - error)) / n);
  if (!(error > 0))
    return { form: '2,1', value, interval: judge > 0 ? NO_INTERVAL : { low: value, high: value } };
  const ratio = judge / error;
  const rest = n * (1 + (k - 1) * value) - k * value;
  const df =
    ((k - 1) * (n - 1) * (k * value * ratio + rest) ** 2) /
    ((n - 1) * k ** 2 * value ** 2 * ratio ** 2 + rest ** 2);
  const wide = upperF(n - 1, df);
  const narrow = upperF(df, n - 1);
  const spread = k * judge + (k * n - k - n) * error;
  return {
    form: '2,1',
    value,
    interval: {
      low: (n * (between - wide * error)) / (wide * spread + n * between),
      high: (n * (narrow * between - error)) / (spread + n * narrow * between),
    },
  };
}

/** The value that F exceeds in half of what the confidence leaves. */
function upperF(df1: number, df2: number): number {
  return jStat.centralF.inv(1 - (1 - CONFIDENCE) / 2, df1, df2);
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
