import { cobble } from '../blank.ts';
import { workNotch } from '../notch.ts';
import { breakEnds, tidyMargin, trimMargin } from '../passes.ts';
import type { Piece } from '../piece.ts';
import type { Planform } from '../planform.ts';
import { knapRound, type Round } from '../round.ts';
import { Stone } from '../stone.ts';

/** One chert cobble, scanned four times on its way to a notched point. */

const EARLY: Planform = { length: 134, width: 88, base: 0.5, tip: 0.62, lean: 0.06, bow: 3 };
const MIDDLE: Planform = { length: 121, width: 71, base: 0.5, tip: 0.7, lean: 0.03, bow: 1.5 };
const LATE: Planform = { length: 110, width: 57, base: 0.5, tip: 0.76 };
const POINT: Planform = { length: 92, width: 42, base: 0.3, tip: 0.8 };

/** Each stage is knapped once and handed on as a copy: later blows leave it alone. */
function stage(knap: () => Stone): () => Stone {
  let done: Stone | undefined;
  return () => {
    done ??= knap();
    return done.copy();
  };
}

const early = stage(() => {
  const stone = new Stone(cobble({ length: 148, width: 102, thickness: 50 }, 11));
  const round: Round = {
    form: EARLY,
    faces: [20, 19],
    spacing: 20,
    order: 'alternate',
    reach: [0.3, 0.5],
    width: [28, 40],
    thickest: 9,
    thinnest: 1.5,
    bite: 7,
    hinges: 0.12,
    steps: 0.12,
    ripple: 0.06,
  };
  knapRound(stone, round, 1);
  knapRound(stone, { ...round, spacing: 17, bite: 6, thickest: 7, thinnest: 0.8 }, 2);
  tidyMargin(stone, EARLY, 7, 50);
  knapRound(
    stone,
    { ...round, spacing: 15, bite: 4, thickest: 5, thinnest: 0.8, width: [18, 30], skip: 0.4 },
    3,
  );
  return stone;
});

const middle = stage(() => {
  const stone = early();
  const round: Round = {
    form: MIDDLE,
    faces: [10.5, 10],
    spacing: 13,
    order: 'alternate',
    reach: [0.5, 0.78],
    width: [17, 27],
    thickest: 5.5,
    thinnest: 0.7,
    bite: 5,
    hinges: 0.08,
    steps: 0.06,
    ripple: 0.05,
  };
  for (const seed of [3, 4, 5, 6, 7]) knapRound(stone, round, seed);
  trimMargin(stone, MIDDLE, 12, 9);
  tidyMargin(stone, MIDDLE, 2.6, 60);
  return stone;
});

const late = stage(() => {
  const stone = middle();
  breakEnds(stone, LATE, 1);
  const round: Round = {
    form: LATE,
    faces: [6, 5.6],
    spacing: 9,
    order: 'alternate',
    reach: [0.5, 0.75],
    width: [12, 19],
    thickest: 3,
    thinnest: 0.35,
    bite: 3,
    hinges: 0.04,
    steps: 0.02,
    ripple: 0.03,
  };
  for (let k = 0; k < 7; k++) knapRound(stone, round, 8 + k);
  for (const [k, size] of [7, 4.5, 3].entries()) trimMargin(stone, LATE, size, 20 + k);
  for (const [k, size] of [1.2, 0.7].entries()) tidyMargin(stone, LATE, size, 70 + 5 * k);
  return stone;
});

const point = stage(() => {
  const stone = late();
  breakEnds(stone, POINT, 0.6);
  const round: Round = {
    form: POINT,
    faces: [3.7, 3.5],
    spacing: 5.2,
    order: 'a',
    reach: [0.42, 0.56],
    width: [6.5, 9],
    thickest: 1.6,
    thinnest: 0.15,
    bite: 2.2,
    slant: 0.3,
    scatter: 0.06,
    ripple: 0.015,
  };
  knapRound(
    stone,
    { ...round, order: 'alternate', spacing: 8, reach: [0.5, 0.75], width: [10, 15], thickest: 2.4 },
    28,
  );
  for (let k = 0; k < 4; k++) {
    knapRound(stone, { ...round, order: 'a' }, 30 + k);
    knapRound(stone, { ...round, order: 'b' }, 40 + k);
  }
  for (const [k, size] of [4, 2.6].entries()) trimMargin(stone, POINT, size, 80 + k);
  tidyMargin(stone, POINT, 0.7, 90);
  for (const side of [-1, 1]) {
    workNotch(stone, { x: side * 13.5, y: -31, dx: -side, dy: 0.05, width: 6.5 }, 100 + side);
  }
  return stone;
});

const BLANK = 'cobble';
const MATERIAL = 'grey banded chert';

export const SERIES: readonly Piece[] = [
  {
    name: 'qt-41-1-early-preform',
    format: 'ply',
    unit: 'mm',
    spacing: 1.02,
    pose: 1,
    words: {
      catalogueNumber: 'QT 41/1',
      title: 'Early preform',
      rawMaterial: MATERIAL,
      blank: BLANK,
      note: 'First scan of the experimental series: a cobble after one time round with a hard hammer; rind left on both faces.',
      look: 'The margin winds far up and down (edge wander), and the piece is barely twice as wide as thick.',
    },
    make: () => ({ stone: early() }),
  },
  {
    name: 'qt-41-2-middle-preform',
    format: 'ply',
    unit: 'mm',
    spacing: 0.74,
    pose: 2,
    words: {
      catalogueNumber: 'QT 41/2',
      title: 'Middle preform',
      rawMaterial: MATERIAL,
      blank: BLANK,
      note: 'Second scan of the same stone: thinning flakes from both margins meet near the midline.',
      look: 'Width over thickness has risen and edge wander fallen since QT 41/1.',
    },
    make: () => ({ stone: middle() }),
  },
  {
    name: 'qt-41-3-late-biface',
    format: 'ply',
    unit: 'mm',
    spacing: 0.62,
    pose: 3,
    words: {
      catalogueNumber: 'QT 41/3',
      title: 'Late thin biface',
      rawMaterial: MATERIAL,
      blank: BLANK,
      note: 'Third scan of the same stone: thin, with a trimmed and nearly straight margin.',
      look: 'Edge angles are low and even, and the section is a flat lens at every station.',
    },
    make: () => ({ stone: late() }),
  },
  {
    name: 'qt-41-4-notched-point',
    format: 'glb',
    unit: 'm',
    spacing: 0.45,
    pose: 4,
    words: {
      catalogueNumber: 'QT 41/4',
      title: 'Finished side-notched point',
      rawMaterial: MATERIAL,
      blank: BLANK,
      note: 'Last scan of the same stone: pressure flakes slanting across both faces, then two notches. A glTF file, in metres.',
      look: 'Stations that cross a notch have several chords; symmetry is the best of the series.',
    },
    make: () => ({ stone: point() }),
  },
];
