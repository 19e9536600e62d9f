import type { SpecimenRecord } from '../record/schema.ts';

/** Values of one piece by the ids of its measures. Words, and measures without a value, are left out. */
export type Values = ReadonlyMap<string, { readonly value: number; readonly u: number | undefined }>;

/** One piece as far as its numbers are compared with others of the same piece. */
export interface ComparedPiece {
  /** Tells the piece apart from all others. */
  readonly key: string;
  /** What it is called where it has no catalogue number. */
  readonly name: string;
  readonly number: string | undefined;
  readonly values: Values;
}

export function valuesOf({ measurements }: SpecimenRecord): Values {
  return new Map(
    measurements.flatMap(({ id, value, u }) =>
      typeof value === 'number' ? [[id, { value, u }] as const] : [],
    ),
  );
}

/** What is the same of two writings of one catalogue number: all but case, spaces and Unicode form. */
export function sameNumber(number: string): string {
  return number.normalize('NFC').toLowerCase().replaceAll(/\s+/g, '');
}
