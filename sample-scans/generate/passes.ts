import type { Planform } from './planform.ts';
import { knapRound, type Round } from './round.ts';
import type { Stone } from './stone.ts';

/** Takes prongs off the margin that stand out of the wanted plan by `size` mm or more, three times round. */
export function tidyMargin(
  stone: Stone,
  form: Planform,
  size: number,
  seed: number,
  more: Partial<Round> = {},
): void {
  for (let k = 0; k < 3; k++) {
    trimMargin(stone, form, size, seed + k, { onlyProud: size, spacing: 0.9 * size, bite: 60, ...more });
  }
}

/** Short flakes, about `size` mm wide, off whichever face straightens the margin. */
export function trimMargin(
  stone: Stone,
  form: Planform,
  size: number,
  seed: number,
  more: Partial<Round> = {},
): void {
  knapRound(
    stone,
    {
      form,
      faces: [0, 0],
      order: 'straighten',
      trim: true,
      spacing: 0.85 * size,
      bite: 0.4 * size,
      width: [0.9 * size, 1.6 * size],
      reach: [0.1, 0.3],
      longest: 1.9 * size,
      thickest: 0.16 * size,
      thinnest: 0.02 * size,
      hinges: 0.1,
      scatter: 0.12,
      ripple: 0,
      ...more,
    },
    seed,
  );
}
