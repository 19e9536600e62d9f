import { slab } from '../blank.ts';
import { createRoughness } from '../noise.ts';
import { breakEnds, tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round, wantedFace } from '../round.ts';
import { Stone } from '../stone.ts';

/** A quartzite slab given up: flake after flake on Face A broke off short, and a lump stayed in the middle. */

const FORM: Planform = { length: 92, width: 58, base: 0.5, tip: 0.66, lean: 0.04 };
const HUMP = { face: 0, x: 2, y: 3, radius: 12 } as const;

const ROUND: Round = {
  form: FORM,
  faces: [6.5, 6.5],
  spacing: 10,
  order: 'alternate',
  reach: [0.42, 0.6],
  width: [13, 22],
  thickest: 5.5,
  thinnest: 0.5,
  bite: 5,
  hinges: 0.1,
  steps: 0.05,
  ripple: 0.02,
  hump: HUMP,
};

function humped(): Stone {
  const grain = createRoughness(72, 1.4, 2);
  const stone = new Stone(slab({ length: 108, width: 74, thickness: 31 }, 23), (x, y) => 0.05 * grain(x, y));
  knapRound(stone, { ...ROUND, spacing: 18, bite: 8, thickest: 9, width: [20, 30] }, 1);
  breakEnds(stone, FORM, 2);
  for (let k = 0; k < 7; k++) knapRound(stone, ROUND, 2 + k);
  for (const [k, size] of [8, 5].entries()) trimMargin(stone, FORM, size, 20 + k);
  tidyMargin(stone, FORM, 1.8, 30);
  return stone;
}

export const HUMPED: Piece = {
  name: 'qt-41-7-humped-preform',
  format: 'ply',
  unit: 'mm',
  spacing: 0.62,
  pose: 5,
  words: {
    catalogueNumber: 'QT 41/7',
    title: 'Preform given up over a hump',
    rawMaterial: 'red quartzite',
    blank: 'tabular piece',
    note: 'From the terrace edge: thinning flakes on Face A stopped in steps round a central lump, rind still on its top.',
    look: 'Humps: the prominence of the lump, and the run from each margin that a flake would need to carry it off.',
  },
  make: () => ({
    stone: humped(),
    humps: [{ ...HUMP, wanted: (x, y) => wantedFace(ROUND)(HUMP.face, x, y) }],
  }),
};
