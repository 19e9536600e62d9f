import { entry } from './entry.ts';
import type { Look } from './look.ts';
import { dimension, type Mark } from './marks.ts';
import { greatestWidthStroke, jawStrokes, lengthStroke, thicknessStroke, widthStroke } from './strokes.ts';

/** The strokes that ratios are made of. */
const at =
  (station: number) =>
  (look: Look): Mark[] => [widthStroke(look, (station / 100) * look.length)];
const width = (look: Look): Mark[] => [greatestWidthStroke(look)];
const thickness = (look: Look): Mark[] =>
  jawStrokes(look) ?? [thicknessStroke(look)].filter((mark) => mark !== null);
const thicknessNearTip = (look: Look): Mark[] => {
  const y = 0.8 * look.length;
  const value = look.value('thickness.at.80');
  return value === null ? [] : [dimension([0, y, -value / 2], [0, y, value / 2])];
};
const baseToWidth = ({ greatest }: Look): Mark[] => [dimension([0, 0, 0], [0, greatest.y, 0])];

const RATIOS: Readonly<Record<string, readonly [words: string, ...((look: Look) => Mark[])[]]>> = {
  'roe.bl': ['width over length', width, lengthStroke],
  'roe.thb': ['thickness over width', thickness, width],
  'roe.t1l': ['thickness a fifth below the tip, over length', thicknessNearTip, lengthStroke],
  'roe.l1l': ['base to the greatest width, over length', baseToWidth, width],
  'roe.b1b2': ['width a fifth below the tip, over width a fifth above the base', at(80), at(20)],
  'bordes.lm': ['length over greatest width', lengthStroke, width],
  'bordes.la': ['length over base to the greatest width', lengthStroke, baseToWidth, width],
  'bordes.nm': ['width at half length over greatest width', at(50), width],
  'bordes.me': ['greatest width over thickness', width, thickness],
  flatness: ['length and width over thickness', lengthStroke, width, thickness],
};

export const ratioEntries = [
  entry(/^(roe\..+|bordes\..+|flatness)$/, (look, [id]) => {
    const ratio = RATIOS[id];
    if (ratio === undefined) return null;
    const [words, ...strokes] = ratio;
    const fromTip = strokes.includes(thickness) && jawStrokes(look) !== null;
    return {
      words,
      marks: strokes.flatMap((stroke) => stroke(look)),
      ...(fromTip ? { fromTip } : {}),
    };
  }),
];
