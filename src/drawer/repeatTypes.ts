import type { MeasureUnit } from '../measures/types.ts';
import type { Values } from './comparedPiece.ts';
import type { Agreement } from './statsAgreement.ts';
import type { Icc } from './statsIcc.ts';
import type { Tem } from './statsTem.ts';

/** One measuring of one piece. */
export interface Reading {
  readonly piece: string;
  /** Observer, or method, that it is by; empty when none is named. */
  readonly rater: string;
  /** What it came from, for tables. */
  readonly label: string;
  readonly values: Values;
}

/** Two raters, or two methods, over the pieces that both measured. */
export interface PairAgreement {
  readonly first: string;
  readonly second: string;
  /** Mean of both and second less first, a piece each, in the order of `pieces`. */
  readonly pieces: readonly string[];
  readonly means: readonly number[];
  readonly differences: readonly number[];
  readonly limits: Agreement;
}

/** What repeat measuring says of one measure; in its own unit. */
export interface RepeatMeasure {
  readonly id: string;
  readonly name: string;
  readonly unit: MeasureUnit;
  /** Over all readings of each piece, whoever they are by. */
  readonly all: Tem;
  /** Readings of one piece by the same rater (intra-observer); NaN where nobody measured a piece twice. */
  readonly intra: Tem;
  /** Raters' means of each piece (inter-observer); NaN with fewer than two raters. */
  readonly inter: Tem;
  /** Root mean square of the standard uncertainties that the records state. */
  readonly statedU: number;
  /** Empty where too few pieces were measured by all. */
  readonly icc: readonly Icc[];
  /** Pieces and columns of the table behind `icc`. */
  readonly iccPieces: number;
  readonly iccColumns: number;
  readonly pairs: readonly PairAgreement[];
  /** Every reading: value less the mean of its piece. */
  readonly deviations: readonly { readonly mean: number; readonly deviation: number }[];
}

export interface RepeatSet {
  /** Pieces with at least two readings. */
  readonly pieces: readonly string[];
  readonly raters: readonly string[];
  readonly readings: readonly Reading[];
  readonly measures: readonly RepeatMeasure[];
  /** Pieces left out because they were measured once. */
  readonly single: readonly string[];
}
