import { flakeBlank } from '../blank.ts';
import { workNotch } from '../notch.ts';
import { breakEnds, tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { Stone } from '../stone.ts';

/** A small obsidian point with side notches, pressed out of a thin flake. */

const FORM: Planform = { length: 43, width: 25, base: 0.22, tip: 0.85 };

export function smallPoint(): Stone {
  const stone = new Stone(flakeBlank({ length: 74, width: 40, thickness: 6.5 }, 61));
  const round: Round = {
    form: FORM,
    faces: [2.6, 2.2],
    spacing: 3.4,
    order: 'a',
    reach: [0.4, 0.55],
    width: [4.5, 6.5],
    thickest: 1.3,
    thinnest: 0.1,
    bite: 2,
    slant: 0.15,
    scatter: 0.1,
    ripple: 0.015,
  };
  breakEnds(stone, FORM, 0.5);
  for (let k = 0; k < 4; k++) {
    knapRound(stone, { ...round, order: 'a' }, 1 + k);
  }
  // The underside is flat already: shallow flakes run in over it without thinning it.
  for (let k = 0; k < 2; k++) {
    knapRound(
      stone,
      { ...round, order: 'b', trim: true, thickest: 0.5, bite: 0.8, reach: [0.25, 0.5], spacing: 3 },
      11 + k,
    );
  }
  for (const [k, size] of [2.6, 1.8].entries()) trimMargin(stone, FORM, size, 20 + k);
  tidyMargin(stone, FORM, 0.5, 30);
  for (const side of [-1, 1])
    workNotch(stone, { x: side * 6.6, y: -14.6, dx: -side * 0.86, dy: 0.51, width: 3.2 }, 40 + side);
  return stone;
}

export const SMALL_POINT: Piece = {
  name: 'qt-41-18-small-point',
  format: 'stl',
  unit: 'mm',
  spacing: 0.345,
  pose: 9,
  words: {
    catalogueNumber: 'QT 41/18',
    title: 'Small notched point',
    rawMaterial: 'obsidian',
    blank: 'flake',
    note: 'From pit 2: pressed all over from a thin flake, notched at the sides. An STL file, which carries no unit.',
    look: 'The outline keeps both notches; tip angle and base shape are taken from the margin itself.',
  },
  make: () => ({ stone: smallPoint() }),
};
