import { sameNumber } from './comparedPiece.ts';
import { readCells, unguarded } from './handCells.ts';
import { columnOf } from './handTable.ts';

/** A column of words by which pieces may be told into groups. */
export interface Labels {
  readonly name: string;
  /** By what is the same of catalogue numbers however they are written. */
  readonly of: ReadonlyMap<string, string>;
}

/** Columns in which nearly every row says something else tell no groups. */
const MOST_LABELS = 40;

/**
 * The columns of a table that name no measure and put its rows into groups: a period, a level, a stage. A number that stands
 * twice keeps what its first row says. Throws a HandTableError.
 */
export function readLabels(bytes: Uint8Array): Labels[] {
  const { names, lines, key } = readCells(bytes);
  return names.flatMap((name, k): Labels[] => {
    if (k === key || name === '' || columnOf(name) !== undefined) return [];
    const of = new Map<string, string>();
    for (const cells of lines) {
      const number = sameNumber(unguarded(cells[key] ?? ''));
      const label = unguarded(cells[k] ?? '').trim();
      if (number !== '' && label !== '' && !of.has(number)) of.set(number, label);
    }
    const different = new Set(of.values()).size;
    return of.size > 0 && different <= MOST_LABELS ? [{ name, of }] : [];
  });
}
