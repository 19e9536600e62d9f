import { slab } from '../blank.ts';
import { tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { snapRemoval } from '../snap.ts';
import { Stone } from '../stone.ts';

/** An obsidian biface that broke across when it was nearly done; the base half is left. */

const FORM: Planform = { length: 112, width: 50, base: 0.42, tip: 0.72 };

function snapped(): Stone {
  const stone = new Stone(slab({ length: 122, width: 62, thickness: 24 }, 37));
  const round: Round = {
    form: FORM,
    faces: [5.2, 4.8],
    spacing: 9,
    order: 'alternate',
    reach: [0.45, 0.65],
    width: [11, 18],
    thickest: 4,
    thinnest: 0.4,
    bite: 4,
    hinges: 0.05,
    ripple: 0.05,
  };
  knapRound(stone, { ...round, spacing: 15, thickest: 7, bite: 6, width: [18, 26] }, 1);
  for (let k = 0; k < 6; k++) knapRound(stone, round, 2 + k);
  for (const [k, size] of [6, 4, 2.6].entries()) trimMargin(stone, FORM, size, 20 + k);
  tidyMargin(stone, FORM, 1.2, 30);
  const [x, y] = [0, 12];
  const top = stone.height(0, x, y);
  stone.remove(
    0,
    snapRemoval({
      x,
      y,
      dx: 0.17,
      dy: 0.985,
      top,
      thickness: top + stone.height(1, x, y),
      run: 4.5,
      bow: 0.008,
    }),
  );
  return stone;
}

export const SNAPPED: Piece = {
  name: 'qt-41-9-snapped-biface',
  format: 'ply',
  unit: 'mm',
  spacing: 0.55,
  pose: 6,
  words: {
    catalogueNumber: 'QT 41/9',
    title: 'Snapped biface, base half',
    rawMaterial: 'obsidian',
    blank: 'tabular piece',
    note: 'From hearth 3: broken across in thinning by a bend; the break is upright on Face A and lipped on Face B.',
    look: 'Length is only a minimum; mark the straight break on the margin and the edge measures leave it out.',
  },
  make: () => ({ stone: snapped() }),
};
