import type { SpecimenRecord } from '../../record/schema.ts';

/** Where a piece's file is gone, its numbers are those that an earlier version of the program left. */
export function wordsOnOlder({ engine }: Pick<SpecimenRecord, 'engine'>): string {
  return `Measured by an earlier version of the program (${engine.version}, ${engine.commit}): without its file it can’t be measured anew.`;
}
