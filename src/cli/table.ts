import type { Measurement } from '../measures/types.ts';
import { printMeasured } from '../record/rounding.ts';

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

/** A few numbers of each piece, in columns; names left, numbers right. */
export function shortTable(rows: readonly TableRow[]): string {
  const cells = [
    ['piece', ...COLUMNS.map(([heading]) => heading), 'warnings'],
    ...rows.map((row) => [
      shorten(plain(row.name)),
      ...COLUMNS.map(([, id]) => shortValue(row.measurements.find((measured) => measured.id === id))),
      String(row.warnings),
    ]),
  ];
  const widths = cells[0].map((_, column) => Math.max(...cells.map((row) => row[column].length)));
  return cells
    .map((row) =>
      row
        .map((cell, column) => (column === 0 ? cell.padEnd(widths[0]) : cell.padStart(widths[column])))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

function shortValue(measured: Measurement | undefined): string {
  if (measured === undefined || measured.value === null) return '–';
  if (typeof measured.value === 'string') return measured.value;
  const sign = measured.minimum ? '≥ ' : measured.estimated ? '≈ ' : '';
  return sign + printMeasured(measured.value, measured.u).value;
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
