import { dsvFormat } from 'd3-dsv';

/** A table that can't be used. One plain sentence. */
export class HandTableError extends Error {
  override readonly name = 'HandTableError';
}

const NUMBER_HEADERS = ['catalogue_number', 'catalogue number', 'number', 'name'];
const DELIMITERS = [',', ';', '\t'] as const;

/** A table as text: its header, its rows, and which column holds the catalogue numbers. */
export interface Cells {
  readonly names: readonly string[];
  readonly lines: readonly (readonly string[])[];
  readonly key: number;
  readonly delimiter: string;
}

/** Reads CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or what spreadsheets on Windows write. Throws a HandTableError. */
export function readCells(bytes: Uint8Array): Cells {
  const text = decode(bytes);
  if (text.includes('\0')) throw new HandTableError('This is no table: it holds bytes that no text has.');
  const delimiter = delimiterOf(text);
  const [header = [], ...lines] = dsvFormat(delimiter).parseRows(text);
  const names = header.map((name) => name.trim());
  const key = names.findIndex((name) => NUMBER_HEADERS.includes(name.toLowerCase()));
  if (key < 0) throw new HandTableError('The table has no column "catalogue_number".');
  return { names, lines, key, delimiter };
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

/** Without the apostrophe that guards spreadsheets. */
export function unguarded(cell: string): string {
  return cell.replace(/^'(?=[=+\-@\t\r])/, '');
}
