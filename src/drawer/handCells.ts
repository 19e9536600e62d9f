import { csvRows } from './csvRows.ts';

/** A table that can't be used. One plain sentence. */
export class HandTableError extends Error {
  override readonly name = 'HandTableError';
}

const NUMBER_HEADERS = ['catalogue_number', 'catalogue number', 'number', 'name'];

/** A table as text: its header, its rows, and which column holds the catalogue numbers. */
export interface Cells {
  readonly names: readonly string[];
  readonly lines: readonly (readonly string[])[];
  readonly key: number;
  readonly delimiter: string;
}

/** Reads CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or what spreadsheets on Windows write. Throws a HandTableError. */
export function readCells(bytes: Uint8Array): Cells {
  const table = csvRows(bytes);
  if (table === undefined) throw new HandTableError('This is no table: it holds bytes that no text has.');
  const [header = [], ...lines] = table.rows;
  const names = header.map((name) => name.trim());
  const key = names.findIndex((name) => NUMBER_HEADERS.includes(name.toLowerCase()));
  if (key < 0) throw new HandTableError('The table has no column "catalogue_number".');
  return { names, lines, key, delimiter: table.delimiter };
}

/** Without the apostrophe that guards spreadsheets. */
export function unguarded(cell: string): string {
  return cell.replace(/^'(?=[=+\-@\t\r])/, '');
}
