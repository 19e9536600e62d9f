import type { MeasureColumn } from './collection.ts';
import { type Correction, correct } from './statsCorrection.ts';
import { type Effect, effect } from './statsEffect.ts';
import { type Permutation, permutationTest } from './statsPermutation.ts';
import { type Summary, summarise } from './statsSummary.ts';

/** Two groups compared in one measure. */
export interface Comparison {
  readonly id: string;
  readonly first: Summary;
  readonly second: Summary;
  readonly effect: Effect;
  readonly test: Permutation;
  /** p corrected for all measures that were compared at once. */
  readonly corrected: number;
}

/** Compares the pieces `first` with the pieces `second` in each measure; effect is second less first. */
export function compareGroups(
  measures: readonly MeasureColumn[],
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  correction: Correction,
): Comparison[] {
  const pick = ({ value }: MeasureColumn, which: ArrayLike<number>): Float64Array =>
    Float64Array.from(which, (i) => value[i]);
  const compared = measures.map((measure) => {
    const [a, b] = [pick(measure, first), pick(measure, second)];
    return {
      id: measure.id,
      first: summarise(a),
      second: summarise(b),
      effect: effect(a, b),
      test: permutationTest(a, b),
    };
  });
  const corrected = correct(
    compared.map(({ test }) => test.p),
    correction,
  );
  return compared.map((one, i) => ({ ...one, corrected: corrected[i] }));
}
