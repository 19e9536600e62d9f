import { cobble } from '../blank.ts';
import { createRoughness } from '../noise.ts';
import { tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { Stone } from '../stone.ts';

/** A big lopsided biface of quartzite whose butt was never worked. */

const FORM: Planform = { length: 176, width: 94, base: 0.5, tip: 0.8, lean: 0.16, bow: 9 };

function large(): Stone {
  const grain = createRoughness(73, 1.8, 2);
  const stone = new Stone(
    cobble({ length: 182, width: 118, thickness: 60 }, 53),
    (x, y) => 0.05 * grain(x, y),
  );
  const round: Round = {
    form: FORM,
    faces: [19, 17],
    spacing: 17,
    order: 'alternate',
    reach: [0.35, 0.55],
    width: [24, 38],
    thickest: 7,
    thinnest: 1,
    bite: 6,
    hinges: 0.12,
    steps: 0.08,
    ripple: 0.03,
    between: [0.2, 1],
  };
  for (let k = 0; k < 3; k++)
    knapRound(stone, { ...round, spacing: 26 - 5 * k, thickest: 11 - 2 * k }, 1 + k);
  trimMargin(stone, FORM, 14, 20, { between: [0.24, 1] });
  trimMargin(stone, FORM, 8, 21, { between: [0.3, 1], side: 'right' });
  tidyMargin(stone, FORM, 4, 30, { between: [0.22, 1] });
  return stone;
}

export const LARGE: Piece = {
  name: 'qt-41-15-large-biface',
  format: 'ply',
  unit: 'mm',
  spacing: 1.3,
  pose: 8,
  words: {
    catalogueNumber: 'QT 41/15',
    title: 'Large asymmetrical biface',
    rawMaterial: 'grey quartzite',
    blank: 'cobble',
    note: 'Surface find below the terrace: the butt keeps its rind, one margin is trimmed and the other left bold.',
    look: 'Symmetry, and how far the midline bows off the length axis; the two sides differ in edge wander.',
  },
  make: () => ({ stone: large() }),
};
