import { dsvFormat } from 'd3-dsv';

/** A table as text, row by row, the header first, and what parts its cells. */
export interface CsvRows {
  readonly rows: readonly (readonly string[])[];
  readonly delimiter: string;
}

const DELIMITERS = [',', ';', '\t'] as const;

/**
 * Reads CSV with commas, semicolons or tabs, in UTF-8, UTF-16 or what spreadsheets on Windows write; undefined for what is
 * no text.
 */
export function csvRows(bytes: Uint8Array): CsvRows | undefined {
  const text = decode(bytes);
  if (text.includes('\0')) return undefined;
  const delimiter = delimiterOf(text);
  return { rows: dsvFormat(delimiter).parseRows(text), delimiter };
}

/** A number as text with a decimal point, for one with a decimal comma: that can be one where something else parts the cells. */
export function pointed(text: string, delimiter: string): string {
  return delimiter === ',' ? text : text.replace(',', '.');
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
