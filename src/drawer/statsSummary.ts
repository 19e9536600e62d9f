import { deviation, mean, quantileSorted } from 'd3-array';

/** What is said of one measure over a collection. NaN where there are too few values. */
export interface Summary {
  readonly n: number;
  readonly mean: number;
  /** Sample standard deviation (n − 1). */
  readonly sd: number;
  readonly min: number;
  readonly q1: number;
  readonly median: number;
  readonly q3: number;
  readonly max: number;
}

/** How quartiles are defined, for captions. */
export const QUARTILES =
  'Quartiles: straight between the ordered values, the k-th of n at (k − 1)/(n − 1) (Hyndman & Fan 1996, definition 7).';

/** Values that are not finite are left out. */
export function summarise(values: ArrayLike<number>): Summary {
  const sorted = Array.from(values)
    .filter(Number.isFinite)
    .sort((a, b) => a - b);
  const at = (share: number): number => quantileSorted(sorted, share) ?? NaN;
  return {
    n: sorted.length,
    mean: mean(sorted) ?? NaN,
    sd: deviation(sorted) ?? NaN,
    min: at(0),
    q1: at(0.25),
    median: at(0.5),
    q3: at(0.75),
    max: at(1),
  };
}

/**
 * Place of each value among all, from 0 (least) to 1 (greatest): its mean rank less one half, over n. Equal values share
 * a place. A value that is not finite has none (NaN) and does not count.
 */
export function places(values: ArrayLike<number>): Float64Array {
  const known = Array.from(values, (value, i) => ({ value, i })).filter(({ value }) =>
    Number.isFinite(value),
  );
  known.sort((a, b) => a.value - b.value);
  const out = new Float64Array(values.length).fill(NaN);
  for (let from = 0; from < known.length; ) {
    let to = from;
    while (to < known.length && known[to].value === known[from].value) to++;
    // Ranks count from 1: from + 1 … to.
    const rank = (from + 1 + to) / 2;
    for (let k = from; k < to; k++) out[known[k].i] = (rank - 0.5) / known.length;
    from = to;
  }
  return out;
}
