import type { Measurement } from '../measures/types.ts';

/** A value that is less than one taken from the whole surface: the least that it was, or one from silhouettes. */
export type Rough = 'minimum' | 'estimated';

export function roughOf({ minimum, estimated }: Pick<Measurement, Rough>): Rough | undefined {
  return minimum ? 'minimum' : estimated ? 'estimated' : undefined;
}
