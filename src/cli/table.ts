import type { Measurement } from '../measures/types.ts';
import { printValue } from '../record/printed.ts';

/** Columns of the short table: heading and the measure that fills it. */
const COLUMNS: readonly (readonly [string, string])[] = [
  ['length mm', 'length'],
  ['width mm', 'width'],
  ['thickness mm', 'thickness'],
  ['w/t', 'width.thickness'],
  ['edge °', 'edge.angle.mean'],
  ['symmetry %', 'symmetry.overlap'],
  ['humps', 'humps.count'],
];
const LONGEST_NAME = 32;

export interface TableRow {
  readonly name: string;
  readonly measurements: readonly Measurement[];
  readonly warnings: number;
}

/**
 * A few numbers of each piece with their standard uncertainties, in columns, names left, numbers right; where these are wider than
 * `room` (letters) as a block of lines for each piece.
 */
export function shortTable(rows: readonly TableRow[], room = Number.POSITIVE_INFINITY): string {
  const headings = ['piece', ...COLUMNS.map(([heading]) => heading), 'warnings'];
  const cells = rows.map((row) => [
    shorten(plain(row.name)),
    ...COLUMNS.map(([, id]) => shortValue(row.measurements.find((measured) => measured.id === id))),
    String(row.warnings),
  ]);
  const table = inColumns([headings, ...cells]);
  if (Math.max(...table.map((line) => line.length)) <= room) return table.join('\n');
  const widest = Math.max(...headings.map((heading) => heading.length));
  return cells
    .map(([name, ...values]) =>
      [name, ...values.map((value, k) => `  ${headings[k + 1].padEnd(widest)}  ${value}`)].join('\n'),
    )
    .join('\n');
}

function inColumns(cells: readonly (readonly string[])[]): readonly string[] {
  const widths = cells[0].map((_, column) => Math.max(...cells.map((row) => row[column].length)));
  return cells.map((row) =>
    row
      .map((cell, column) => (column === 0 ? cell.padEnd(widths[0]) : cell.padStart(widths[column])))
      .join('  ')
      .trimEnd(),
  );
}

function shortValue(measured: Measurement | undefined): string {
  const printed = measured === undefined ? null : printValue(measured);
  if (printed === null) return '–';
  return printed.u === '' ? printed.value : `${printed.value} ± ${printed.u}`;
}

function shorten(name: string): string {
  const letters = Array.from(name);
  return letters.length <= LONGEST_NAME ? name : `${letters.slice(0, LONGEST_NAME - 1).join('')}…`;
}

/** Text from a file's name or content, harmless on a terminal: control characters become visible marks. */
export function plain(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not reach a terminal
  return text.replace(/[\u0000-\u001f\u007f-\u009f\u200e\u200f\u2028-\u202e\u2066-\u2069]/g, '�');
}
