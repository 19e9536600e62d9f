import { dsvFormat } from 'd3-dsv';
import { catalogueRows } from '../measures/catalogue.ts';
import type { MeasureRow } from '../measures/types.ts';
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

/** A table that can't be used. One plain sentence. */
export class HandTableError extends Error {
  override readonly name = 'HandTableError';
}

const NUMBER_HEADERS = ['catalogue_number', 'catalogue number', 'number', 'name'];
/** Units of length that a column's name may end in, and how many mm they have. */
const LENGTHS: Readonly<Record<string, number>> = { _mm: 1, _cm: 10, _in: 25.4 };
const DELIMITERS = [',', ';', '\t'] as const;
const LONGEST_SHOWN = 40;

/**
 * Reads a table of hand measurements: CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or what spreadsheets on Windows
 * write. One row a piece: `catalogue_number`, and measures by their ids, with or without a unit (`length`, `length_mm`,
 * `width_cm`, `thickness_in`). A comma may stand for the decimal point where cells are parted by something else.
 * Throws a HandTableError.
 */
export function readHandTable(bytes: Uint8Array): HandTable {
  const text = decode(bytes);
  if (text.includes('\0')) throw new HandTableError('This is no table: it holds bytes that no text has.');
  const delimiter = delimiterOf(text);
  const [header = [], ...lines] = dsvFormat(delimiter).parseRows(text);
  const names = header.map((name) => name.trim());
  const key = names.findIndex((name) => NUMBER_HEADERS.includes(name.toLowerCase()));
  if (key < 0) throw new HandTableError('The table has no column "catalogue_number".');
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

function decode(bytes: Uint8Array): string {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return new TextDecoder('utf-16le').decode(bytes);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return new TextDecoder('utf-16be').decode(bytes);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('windows-1252').decode(bytes);
  }
}

/** What parts the cells of the header best. */
function delimiterOf(text: string): string {
  const header = text.split(/[\r\n]/, 1)[0];
  const parts = (delimiter: string): number => header.split(delimiter).length;
  return DELIMITERS.reduce((best, delimiter) => (parts(delimiter) > parts(best) ? delimiter : best));
}

function columnOf(header: string): HandColumn | undefined {
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
  const pointed = delimiter === ',' ? text : text.replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?$/i.test(pointed) ? Number(pointed) : NaN;
}

/** Without the apostrophe that guards spreadsheets. */
function unguarded(cell: string): string {
  return cell.replace(/^'(?=[=+\-@\t\r])/, '');
}

function shortened(text: string): string {
  const letters = Array.from(text);
  return letters.length > LONGEST_SHOWN ? `${letters.slice(0, LONGEST_SHOWN).join('')}…` : text;
}
