import { flakeBlank } from '../blank.ts';
import { workNotch } from '../notch.ts';
import { tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { Stone } from '../stone.ts';

/** A small obsidian point with corner notches, pressed out of a thin flake. */

const FORM: Planform = { length: 43, width: 25, base: 0.22, tip: 0.85 };

export function smallPoint(): Stone {
  const stone = new Stone(flakeBlank({ length: 56, width: 38, thickness: 7 }, 61));
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
  for (let k = 0; k < 5; k++) {
    knapRound(stone, { ...round, order: 'a' }, 1 + k);
    knapRound(stone, { ...round, order: 'b' }, 11 + k);
  }
  for (const [k, size] of [2.6, 1.8].entries()) trimMargin(stone, FORM, size, 20 + k);
  tidyMargin(stone, FORM, 0.5, 30);
  for (const side of [-1, 1])
    workNotch(stone, { x: side * 6.2, y: -16, dx: -side * 0.8, dy: 0.6, width: 3.6 }, 40 + side);
  return stone;
}

export const SMALL_POINT: Piece = {
  name: 'qt-41-18-small-point',
  format: 'stl',
  unit: 'mm',
  spacing: 0.39,
  pose: 9,
  words: {
    catalogueNumber: 'QT 41/18',
    title: 'Small corner-notched point',
    rawMaterial: 'obsidian',
    blank: 'flake',
    note: 'From pit 2: pressed all over from a thin flake, notched at the corners. An STL file, which carries no unit.',
    look: 'The outline keeps notches and barbs; tip angle and base shape are taken from the margin itself.',
  },
  make: () => ({ stone: smallPoint() }),
};
