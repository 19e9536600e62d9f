/** Factors between units of length that are mixed up easily: to read a file in, by how much it is then too large. */
const UNIT_SLIPS: readonly (readonly [factor: number, words: string])[] = [
  [1000, 'metres and millimetres'],
  [25.4, 'inches and millimetres'],
  [10, 'centimetres and millimetres'],
];
/** A unit slip shows in every reading alike, but for the care of the hand. */
const LIKENESS = 0.08;

/**
 * In words, which units were probably mixed up, when all readings differ from the computed values by a common factor near
 * 25.4, 10 or 1000; null otherwise. `pairs` are read and computed, both over 0.
 */
export function unitSlip(pairs: readonly (readonly [read: number, computed: number])[]): string | null {
  if (pairs.length === 0) return null;
  for (const [factor, words] of UNIT_SLIPS) {
    for (const expected of [factor, 1 / factor]) {
      if (pairs.every(([read, computed]) => Math.abs(computed / read / expected - 1) < LIKENESS))
        return words;
    }
  }
  return null;
}
