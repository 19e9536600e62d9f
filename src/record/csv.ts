import { catalogueRows } from '../measures/catalogue.ts';
import type { SeriesTable, SpecimenRecord } from './schema.ts';

/** A spreadsheet takes a cell that starts so for a formula or a command. */
const FORMULA_START = /^[=+\-@\t\r]/;
const NEEDS_QUOTES = /[",\r\n]/;

export type Cell = number | string | null | undefined;

/**
 * CSV by RFC 4180: commas, CRLF, quotes doubled; UTF-8, `.` decimals. Nothing (null, undefined, NaN) is an empty cell.
 * Text that a spreadsheet would run as a formula gets an apostrophe in front; numbers are never touched.
 */
export function writeCsv(header: readonly string[], rows: Iterable<readonly Cell[]>): string {
  let text = `${header.map(writeCell).join(',')}\r\n`;
  for (const row of rows) text += `${row.map(writeCell).join(',')}\r\n`;
  return text;
}

function writeCell(cell: Cell): string {
  if (cell === null || cell === undefined) return '';
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : '';
  const safe = FORMULA_START.test(cell) ? `'${cell}` : cell;
  return NEEDS_QUOTES.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/**
 * One row a measure: id, name, value, unit, u, word, definition, note. Values are numbers, so that R and spreadsheets take
 * the column for numbers; what is said in a word (unit `text`) stands in `word`. A measure that does not apply has neither;
 * the note says why, or that a value is a minimum, estimated from silhouettes, or traced by hand edge-on.
 */
export function measuresCsv(record: SpecimenRecord): string {
  const known = new Map(catalogueRows().map((row) => [row.id, row]));
  return writeCsv(
    ['id', 'name', 'value', 'unit', 'u', 'word', 'definition', 'note'],
    record.measurements.map(({ id, value, unit, u, minimum, estimated, byHand, reason }) => {
      const row = known.get(id);
      const note = minimum ? 'minimum' : estimated ? 'estimated' : byHand ? 'traced by hand' : reason;
      const [number, word] = numberOrWord(value);
      return [id, row?.name ?? id, number, unit, u, word, row?.definition, note];
    }),
  );
}

/** A value in the one column or in the other. */
export function numberOrWord(value: number | string | null): readonly [number: Cell, word: Cell] {
  return typeof value === 'string' ? [undefined, value] : [value, undefined];
}

/** One row a place, one column a quantity, in the order of the record. */
export function seriesCsv(table: SeriesTable): string {
  const names = Object.keys(table);
  const columns = names.map((name) => table[name]);
  const length = columns.length === 0 ? 0 : columns[0].length;
  const rows = Array.from({ length }, (_, i) => columns.map((column) => column[i]));
  return writeCsv(names, rows);
}
