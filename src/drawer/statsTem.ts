/** Technical error of measurement over repeated measurements of several pieces. */
export interface Tem {
  /** In the measure's own unit. NaN without a repeat. */
  readonly tem: number;
  /** TEM over the mean of all measurements, percent. */
  readonly percent: number;
  /** Coefficient of reliability: 1 − TEM² over the variance of all measurements. NaN for a single piece: nothing varies but the measuring. */
  readonly reliability: number;
  readonly mean: number;
  /** Pieces with at least two measurements, and measurements of those. */
  readonly pieces: number;
  readonly measurements: number;
}

/**
 * Ulijaszek & Kerr 1999: with K measurements of each of N pieces √(Σ(ΣM² − (ΣM)²/K)/(N(K − 1))), which for K = 2 is
 * √(ΣD²/2N). Here the pieces may have different numbers of measurements: the denominator is then Σ(Kᵢ − 1).
 * A row is a piece; values that are not finite are left out, and pieces with fewer than two values too.
 */
export function technicalError(rows: readonly ArrayLike<number>[]): Tem {
  const repeated = rows
    .map((row) => Array.from(row).filter(Number.isFinite))
    .filter(({ length }) => length >= 2);
  const all = repeated.flat();
  const grand = average(all);
  let within = 0;
  for (const row of repeated) within += sumOfSquares(row, average(row));
  const variance = within / (all.length - repeated.length);
  const total = sumOfSquares(all, grand) / (all.length - 1);
  const tem = Math.sqrt(variance);
  return {
    tem,
    percent: (100 * tem) / Math.abs(grand),
    reliability: repeated.length < 2 ? NaN : 1 - variance / total,
    mean: grand,
    pieces: repeated.length,
    measurements: all.length,
  };
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function sumOfSquares(values: readonly number[], about: number): number {
  return values.reduce((sum, value) => sum + (value - about) ** 2, 0);
}
