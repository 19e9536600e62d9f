import type { Warning } from '../geometry/types.ts';
import { type Box, COLOUR, TYPE } from './sheetStyle.ts';
import { group, label, type Markup } from './svg.ts';

const LEADING = 3.5;
/** Width of a letter over the type size, on the wide side so that no line runs over. */
const LETTER = 0.56;

/** Warnings, wrapped; what finds no room is counted and left to the record. Says how much height it took. */
export function drawNotes(warnings: readonly Warning[], box: Box): { markup: Markup; height: number } {
  const most = Math.floor((box.width - 3) / (LETTER * TYPE.body));
  const room = Math.floor(box.height / LEADING) - 1;
  const lines: { text: string; first: boolean }[] = [];
  let told = 0;
  for (const { text } of warnings) {
    const wrapped = wrap(text, most);
    const spare = told < warnings.length - 1 ? 1 : 0;
    if (lines.length + wrapped.length + spare > room) break;
    lines.push(...wrapped.map((part, i) => ({ text: part, first: i === 0 })));
    told++;
  }
  const left = warnings.length - told;
  if (left > 0) lines.push({ text: `and ${left} more in the record`, first: true });
  const markup = group(
    { 'font-size': TYPE.body, fill: COLOUR.ink },
    ...lines.flatMap(({ text, first }, i) => {
      const y = box.y + 3.8 + i * LEADING;
      const line = label(text, box.x + 3, y);
      return first ? [label('–', box.x, y, { fill: COLOUR.clay }), line] : [line];
    }),
  );
  return { markup, height: lines.length * LEADING };
}

/** Lines of at most `most` letters, broken at spaces; a longer word is cut. */
function wrap(text: string, most: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text
    .split(/\s+/)
    .flatMap((part) => part.match(new RegExp(`.{1,${most}}`, 'gu')) ?? [])) {
    if (line !== '' && line.length + 1 + word.length > most) {
      lines.push(line);
      line = '';
    }
    line = line === '' ? word : `${line} ${word}`;
  }
  return line === '' ? lines : [...lines, line];
}
