import type { MeasureColumn } from '../../drawer/collection.ts';

/** How many pieces of a figure stand there with less than a value from the whole surface; empty where none does. */
export function roughWords(columns: readonly MeasureColumn[]): string {
  const pieces = (kind: 'minimum' | 'estimated'): number =>
    new Set(
      columns.flatMap(({ rough }) => [...rough].flatMap(([piece, its]) => (its === kind ? [piece] : []))),
    ).size;
  const [least, estimated] = [pieces('minimum'), pieces('estimated')];
  const are = (count: number): string => `${count} of them ${count === 1 ? 'is' : 'are'}`;
  return [
    least > 0 ? ` ${are(least)} at least what is drawn: a part is missing.` : '',
    estimated > 0 ? ` ${are(estimated)} estimated from silhouettes.` : '',
  ].join('');
}
