import type { Measurement } from '../measures/types.ts';

/** A value that is less than one taken from the whole surface: the least that it was, or one from silhouettes. */
export type Rough = 'minimum' | 'estimated';

/** Stands before a value that is less than one taken from the whole surface. */
export function roughSign(rough: Rough | undefined): string {
  return rough === undefined ? '' : rough === 'minimum' ? '≥ ' : '≈ ';
}

export function roughOf({ minimum, estimated }: Pick<Measurement, Rough>): Rough | undefined {
  return minimum ? 'minimum' : estimated ? 'estimated' : undefined;
}
