import type { HandComparison, HandMeasure } from '../drawer/handCompare.ts';
import type { HandTable } from '../drawer/handTable.ts';

const HEADINGS = ['measure', 'pieces', 'bias', 'sd', 'limits of agreement'];
/** Lines of one kind before the rest is counted only; the files hold all. */
const MOST_LINES = 20;

/** A comparison in columns, and what did not fit in sentences. */
export function compareLines(table: HandTable, { measures, pieces, unmatched }: HandComparison): string[] {
  const cells = [HEADINGS, ...measures.map(rowOf)];
  const widths = HEADINGS.map((_, column) => Math.max(...cells.map((row) => row[column].length)));
  const slips = measures.flatMap(({ measure, pairs }) =>
    pairs
      .filter(({ slip }) => slip !== null)
      .map(
        ({ number, hand, computed, slip }) =>
          `${number}: ${measure.id} ${print(hand)} by hand, ${print(computed)} computed: ${slip} were probably mixed up`,
      ),
  );
  return [
    `${pieces} of ${table.rows.length} rows matched. Hand less computed:`,
    '',
    ...cells.map((row) =>
      row
        .map((cell, column) => (column === 0 ? cell.padEnd(widths[0]) : cell.padStart(widths[column])))
        .join('  ')
        .trimEnd(),
    ),
    ...measures.flatMap(({ measure, slip, pairs }) =>
      slip === null || pairs.length < 2
        ? []
        : [`All of ${measure.id} look as if ${slip} had been mixed up: check the column’s unit.`],
    ),
    ...listed('Likely unit errors, left out of the limits:', slips),
    ...listed(
      'Not matched:',
      unmatched.map(({ side, number, where, why }) =>
        side === 'hand'
          ? `table, ${where}${number === '' ? '' : `, ${number}`}: ${why}`
          : `record ${where}${number === where ? '' : `, ${number}`}: ${why}`,
      ),
    ),
    ...listed('Cells left out:', table.unreadable),
    ...(table.ignored.length === 0 ? [] : [`Columns that name no measure: ${table.ignored.join(', ')}.`]),
  ];
}

function rowOf({ measure, limits }: HandMeasure): string[] {
  const unit = ['1', 'count'].includes(measure.unit) ? '' : ` (${measure.unit})`;
  return [
    measure.name + unit,
    String(limits.n),
    print(limits.bias),
    print(limits.sd),
    limits.n < 2 ? '–' : `${print(limits.lower)} … ${print(limits.upper)}`,
  ];
}

function listed(heading: string, lines: readonly string[]): string[] {
  if (lines.length === 0) return [];
  const rest = lines.length - MOST_LINES;
  return [
    '',
    heading,
    ...lines.slice(0, MOST_LINES).map((line) => `  ${line}`),
    ...(rest > 0 ? [`  and ${rest} more`] : []),
  ];
}

function print(value: number): string {
  if (!Number.isFinite(value)) return '–';
  return value === 0 ? '0' : String(Number(value.toPrecision(4)));
}
