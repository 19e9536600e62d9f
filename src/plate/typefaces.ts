import fontkit, { type Font } from '@pdf-lib/fontkit';
import type { Weight } from './drawing.ts';

/** The plate's own type, as TrueType files. */
export type FontFiles = Readonly<Record<Weight, Uint8Array>>;

/** Type that can be measured and drawn as outlines, the same everywhere. */
export interface Typefaces {
  readonly files: FontFiles;
  /** Width of a line of text, in the unit of `size`. */
  width(text: string, size: number, weight?: Weight): number;
  /** The line as filled SVG path data from (x, y) on its baseline, y down. */
  outline(text: string, x: number, y: number, size: number, weight: Weight): string;
}

/** Words whose width is remembered. */
const MOST_WORDS = 5000;

export function readTypefaces(files: FontFiles): Typefaces {
  const fonts: Record<Weight, Font> = {
    regular: fontkit.create(files.regular),
    semibold: fontkit.create(files.semibold),
  };
  const known: Record<Weight, Map<string, number>> = { regular: new Map(), semibold: new Map() };
  /** Width of a word in the font's units. Lines are tried word by word again and again: each word is laid out once. */
  const advance = (weight: Weight, word: string): number => {
    const found = known[weight].get(word);
    if (found !== undefined) return found;
    // Letter by letter, as the writers set it: no kerning.
    const width = glyphsOf(fonts[weight], word).reduce((sum, { advanceWidth }) => sum + advanceWidth, 0);
    if (known[weight].size >= MOST_WORDS) known[weight].clear();
    known[weight].set(word, width);
    return width;
  };
  return {
    files,
    width(text, size, weight = 'regular') {
      const words = text.split(' ');
      const units = words.reduce((sum, word) => sum + advance(weight, word), 0);
      return ((units + (words.length - 1) * advance(weight, ' ')) * size) / fonts[weight].unitsPerEm;
    },
    outline(text, x, y, size, weight) {
      const font = fonts[weight];
      const unit = size / font.unitsPerEm;
      let pen = x;
      const parts: string[] = [];
      for (const glyph of glyphsOf(font, text)) {
        for (const { command, args } of commandsOf(glyph.path)) {
          const place = args.map((v, i) => ((i & 1) === 0 ? pen + v * unit : y - v * unit).toFixed(4));
          parts.push(LETTERS[command] + place.join(' '));
        }
        pen += glyph.advanceWidth * unit;
      }
      return parts.join('');
    },
  };
}

const LETTERS: Readonly<Record<string, string>> = {
  moveTo: 'M',
  lineTo: 'L',
  quadraticCurveTo: 'Q',
  bezierCurveTo: 'C',
  closePath: 'Z',
};

interface Command {
  readonly command: string;
  readonly args: readonly number[];
}

/** The package's types leave out what its paths are made of. */
function commandsOf(path: object): readonly Command[] {
  return (path as { readonly commands: readonly Command[] }).commands;
}

function glyphsOf(font: Font, text: string) {
  return font.layout(text, []).glyphs;
}

/** Text without what no font can show: control characters and lone halves of a letter. */
export function printable(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not reach a page
  return text.replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029\ufffe\uffff\p{Surrogate}]/gu, '\ufffd');
}
