import type { Planform } from './planform.ts';
import { knapRound, type Round } from './round.ts';
import { snapRemoval } from './snap.ts';
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
      spacing: 0.65 * size,
      onlyProud: size < 4 ? 0.08 * size : -Infinity,
      bulb: 0.15,
      bite: 0.4 * size,
      width: [Math.max(2, 0.9 * size), Math.max(3.5, 1.6 * size)],
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

/** Breaks off what stands more than `slack` mm beyond the wanted plan's tip and base: the next flakes hide the breaks. */
export function breakEnds(stone: Stone, form: Planform, slack: number): void {
  const centre = form.centre ?? 0.5;
  for (const way of [1, -1]) {
    const y = (way > 0 ? (1 - centre) * form.length : -centre * form.length) + way * slack;
    const thickness = stone.thickness(0, y);
    if (thickness <= 0) continue;
    stone.remove(
      0,
      snapRemoval({ x: 0, y, dx: 0, dy: way, top: stone.height(0, 0, y), thickness, run: 2, bow: 0 }),
    );
  }
}
