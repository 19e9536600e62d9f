import { catalogueRows } from '../measures/catalogue.ts';
import type { MeasureRow } from '../measures/types.ts';
import { pointed } from './csvRows.ts';
import { HandTableError, readCells, unguarded } from './handCells.ts';
import { valueColumn } from './tables.ts';

/** One column of hand measurements: what it says in its header, and how its numbers become the measure's unit. */
export interface HandColumn {
  readonly header: string;
  readonly measure: MeasureRow;
  /** The measure's unit in one of the column's. */
  readonly factor: number;
}

export interface HandRow {
  /** Line in the file where the row begins to count, the header being 1. */
  readonly row: number;
  readonly number: string;
  /** In the order of the columns, in the measures' units; undefined where there is none. */
  readonly values: readonly (number | undefined)[];
}

export interface HandTable {
  readonly columns: readonly HandColumn[];
  readonly rows: readonly HandRow[];
  /** Headers that name no measure. */
  readonly ignored: readonly string[];
  /** Cells that hold no number, in words. */
  readonly unreadable: readonly string[];
}

export { HandTableError } from './handCells.ts';

/** Units of length that a column's name may end in, and how many mm they have. */
const LENGTHS: Readonly<Record<string, number>> = { _mm: 1, _cm: 10, _in: 25.4 };
const LONGEST_SHOWN = 40;

/**
 * Reads a table of hand measurements: CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or what spreadsheets on Windows
 * write. One row a piece: `catalogue_number`, and measures by their ids, with or without a unit (`length`, `length_mm`,
 * `width_cm`, `thickness_in`). A comma may stand for the decimal point where cells are parted by something else.
 * Throws a HandTableError.
 */
export function readHandTable(bytes: Uint8Array): HandTable {
  const { names, lines, key, delimiter } = readCells(bytes);
  const columns = names.map((name, k) => (k === key ? undefined : columnOf(name)));
  const used = columns.filter((column) => column !== undefined);
  if (used.length === 0) {
    throw new HandTableError(
      'No column of the table is named as a measure, such as length_mm, width_mm or thickness_mm.',
    );
  }
  const twice = used.find(({ measure }, k) => used.findIndex((one) => one.measure.id === measure.id) !== k);
  if (twice !== undefined) throw new HandTableError(`Two columns of the table hold ${twice.measure.id}.`);
  const unreadable: string[] = [];
  const rows = lines.flatMap((cells, line): HandRow[] => {
    if (cells.every((cell) => cell.trim() === '')) return [];
    const values = columns.flatMap((column, k) => {
      if (column === undefined) return [];
      const value = numberOf(cells[k] ?? '', delimiter);
      if (Number.isNaN(value)) {
        unreadable.push(`row ${line + 2}, ${column.header}: "${shortened(cells[k])}" is no number`);
        return [undefined];
      }
      return [value === undefined ? undefined : value * column.factor];
    });
    return [{ row: line + 2, number: unguarded(cells[key] ?? '').trim(), values }];
  });
  const ignored = names.filter((name, k) => k !== key && columns[k] === undefined && name !== '');
  return { columns: used, rows, ignored, unreadable };
}

/** The measure that a header names; undefined where it names none. */
export function columnOf(header: string): HandColumn | undefined {
  const name = header.toLowerCase();
  for (const measure of catalogueRows()) {
    if (measure.unit === 'text') continue;
    if (name === measure.id || name === valueColumn(measure).name) return { header, measure, factor: 1 };
    if (measure.unit !== 'mm') continue;
    const unit = Object.keys(LENGTHS).find((ending) => name === measure.id + ending);
    if (unit !== undefined) return { header, measure, factor: LENGTHS[unit] };
  }
  return undefined;
}

/** Undefined for an empty cell, NaN for what is no plain number. */
function numberOf(cell: string, delimiter: string): number | undefined {
  const text = cell.trim();
  if (text === '') return undefined;
  const number = pointed(text, delimiter);
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?$/i.test(number) ? Number(number) : NaN;
}

function shortened(text: string): string {
  const letters = Array.from(text);
  return letters.length > LONGEST_SHOWN ? `${letters.slice(0, LONGEST_SHOWN).join('')}…` : text;
}
