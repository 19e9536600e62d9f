import { flakeBlank } from '../blank.ts';
import { tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { Stone } from '../stone.ts';

/** A silcrete flake worked over its back only: the underside keeps the flake's bulb and ripples. */

const FORM: Planform = { length: 70, width: 38, base: 0.4, tip: 0.6, bow: 1.5 };

function planoConvex(): Stone {
  const stone = new Stone(flakeBlank({ length: 78, width: 50, thickness: 13 }, 41));
  const round: Round = {
    form: FORM,
    faces: [9, 1.5],
    spacing: 7,
    order: 'a',
    reach: [0.35, 0.55],
    width: [8, 14],
    thickest: 3,
    thinnest: 0.3,
    bite: 4,
    hinges: 0.08,
    ripple: 0.03,
    profile: 0.6,
  };
  knapRound(stone, { ...round, spacing: 11, thickest: 5, width: [14, 20] }, 1);
  for (let k = 0; k < 4; k++) knapRound(stone, round, 2 + k);
  for (const [k, size] of [4.5, 2.8].entries()) trimMargin(stone, FORM, size, 20 + k, { order: 'a' });
  tidyMargin(stone, FORM, 1, 30, { order: 'a' });
  trimMargin(stone, FORM, 5, 40, { order: 'b', skip: 0.8, bite: 0.4, thickest: 0.5 });
  return stone;
}

export const PLANO_CONVEX: Piece = {
  name: 'qt-41-12-plano-convex',
  format: 'ply',
  unit: 'cm',
  spacing: 0.45,
  pose: 7,
  words: {
    catalogueNumber: 'QT 41/12',
    title: 'Plano-convex piece on a flake',
    rawMaterial: 'yellow silcrete',
    blank: 'flake',
    note: 'From pit 2: worked over the back only, the underside keeps bulb and ripples of the flake. Scanned in centimetres.',
    look: 'Face balance is far from 50 %, the sections are plano-convex, and no hump is found on the even back.',
  },
  make: () => ({ stone: planoConvex() }),
};
