import type { Points2 } from '../geometry/types.ts';

/** Letters stand on a grid 4 wide and 6 high; one letter begins PITCH after the other. */
const HIGH = 6;
const PITCH = 5.6;

/** Strokes of capitals, digits and signs: grid points as two digits x y, a bar between strokes. */
const GLYPHS: Readonly<Record<string, string>> = {
  A: '00 26 40|13 33',
  B: '00 06 36 45 44 33 03|33 42 41 30 00',
  C: '45 36 16 05 01 10 30 41',
  D: '00 06 26 44 42 20 00',
  E: '46 06 00 40|03 33',
  F: '46 06 00|03 33',
  G: '45 36 16 05 01 10 30 41 43 23',
  H: '06 00|46 40|03 43',
  I: '20 26',
  J: '46 41 30 10 01',
  K: '06 00|46 02|13 40',
  L: '06 00 40',
  M: '00 06 23 46 40',
  N: '00 06 40 46',
  O: '16 05 01 10 30 41 45 36 16',
  P: '00 06 36 45 44 33 03',
  Q: '16 05 01 10 30 41 45 36 16|22 40',
  R: '00 06 36 45 44 33 03|23 40',
  S: '45 36 16 05 04 13 33 42 41 30 10 01',
  T: '06 46|26 20',
  U: '06 01 10 30 41 46',
  V: '06 20 46',
  W: '06 10 23 30 46',
  X: '00 46|06 40',
  Y: '06 23 46|23 20',
  Z: '06 46 00 40',
  0: '16 05 01 10 30 41 45 36 16',
  1: '14 26 20',
  2: '05 16 36 45 44 00 40',
  3: '05 16 36 45 44 33 13|33 42 41 30 10 01',
  4: '30 36 02 42',
  5: '46 06 03 33 42 41 30 10 01',
  6: '45 36 16 05 01 10 30 41 42 33 03',
  7: '06 46 10',
  8: '13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33',
  9: '01 10 30 41 45 36 16 05 04 13 43',
  '.': '20 21',
  ',': '21 10',
  ':': '20 21|23 24',
  '-': '13 33',
  '%': '00 46|05 06 16 15 05|30 31 41 40 30',
  ' ': '',
};

/**
 * A line of capitals as strokes, `height` mm high, its first letter's lower left corner at (x, y), y up. Drawn and not
 * set, so that no printer puts another typeface in its place. Throws a RangeError for a sign without a drawing.
 */
export function lettering(text: string, x: number, y: number, height: number): Points2[] {
  const unit = height / HIGH;
  return [...text.toUpperCase()].flatMap((letter, i) => {
    const glyph = GLYPHS[letter];
    if (glyph === undefined) throw new RangeError(`no drawing of the sign ${letter}`);
    const left = x + i * PITCH * unit;
    return glyph
      .split('|')
      .filter((stroke) => stroke !== '')
      .map((stroke) =>
        Float64Array.from(
          stroke.split(' ').flatMap(([across, up]) => [left + Number(across) * unit, y + Number(up) * unit]),
        ),
      );
  });
}

/** Width of a line of lettering, mm. */
export function letteringWidth(text: string, height: number): number {
  return ((text.length - 1) * PITCH + 4) * (height / HIGH);
}
