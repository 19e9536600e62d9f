import type { Collection } from '../../drawer/collection.ts';
import type { Cell } from '../../record/csv.ts';

/** The columns that tell a piece in every table: one number may stand for a scan and for photographs of the same piece. */
export const PIECE_COLUMNS = ['piece', 'kind'];

/** What stands in them. */
export function pieceCells({ names, groups }: Collection, i: number): readonly Cell[] {
  return [names[i], groups.kind?.[i]];
}

/** The column of lengths on outlines: mm, or shares of the root of each outline's area. */
export function lengthColumn(name: string, unit: string): string {
  return unit === 'mm' ? `${name}_mm` : `${name}_of_root_area`;
}
