import type { Piece } from './piece.ts';
import { HUMPED } from './recipes/humped.ts';
import { LARGE } from './recipes/large.ts';
import { PLANO_CONVEX } from './recipes/planoConvex.ts';
import { SERIES } from './recipes/series.ts';
import { SMALL_POINT } from './recipes/smallPoint.ts';
import { SNAPPED } from './recipes/snapped.ts';

/** Every piece, in the drawer's order. Site, collection and finds are invented. */
export const PIECES: readonly Piece[] = [...SERIES, HUMPED, SNAPPED, PLANO_CONVEX, LARGE, SMALL_POINT];

const TITLE = 'Quillhythe Terrace, drawer 41';
const STORY =
  'Quillhythe Terrace in Lower Tessermark exists only here: every piece was knapped by a program, so that its true measures are known. ' +
  'Four scans follow one chert cobble from first blows to a notched point. ' +
  'The others are what such a terrace might hold: a preform given up, a snapped biface, a worked flake, a big lopsided tool and a small point.';

/** What the workbench reads to fill its demo drawer. */
export function manifest(): object {
  return {
    format: 'knapgauge-drawer',
    version: 1,
    title: TITLE,
    story: STORY,
    pieces: PIECES.map((piece) => ({
      file: `${piece.name}.${piece.format}`,
      truth: `${piece.name}.truth.json`,
      unit: piece.unit,
      ...piece.words,
    })),
  };
}
