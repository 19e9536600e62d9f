/**
 * Which rows of a long grid of cards are laid out, and the room that is held for the others. Rows are as high as their
 * cards ask, so that a row's height is known once it was laid out, and estimated before. Lengths are CSS pixels.
 */
export interface RowHeights {
  /** By row: of those that were laid out. */
  readonly known: ReadonlyMap<number, number>;
  /** Of the others. */
  readonly estimate: number;
  /** Between two rows. */
  readonly gap: number;
}

export interface RowSpan {
  readonly from: number;
  /** The row after the last. */
  readonly to: number;
}

const heightOf = ({ known, estimate }: RowHeights, row: number): number => known.get(row) ?? estimate;

/**
 * The rows that the stretch from `top` to `bottom` crosses, lengths below the grid's own top; none where it lies outside.
 *
 * @param rows how many there are
 */
export function rowsAcross(heights: RowHeights, rows: number, top: number, bottom: number): RowSpan {
  let from = 0;
  let end = rows > 0 ? heightOf(heights, 0) : 0;
  while (from < rows && end < top) {
    from += 1;
    end += heights.gap + heightOf(heights, from);
  }
  let to = from;
  let start = end - heightOf(heights, from);
  while (to < rows && start <= bottom) {
    start += heightOf(heights, to) + heights.gap;
    to += 1;
  }
  return { from, to };
}

/**
 * The rows that are laid out, in order: those of the span; the row `held` that has the focus and its neighbours, so that
 * the next stop of the tabulator is always there; and the first and the last, which are the next stops from outside.
 */
export function rowsLaidOut({ from, to }: RowSpan, rows: number, held: number | null): readonly number[] {
  const laid = new Set(held === null ? [0, rows - 1] : [0, held - 1, held, held + 1, rows - 1]);
  for (let row = from; row < to; row++) laid.add(row);
  return [...laid].filter((row) => row >= 0 && row < rows).toSorted((a, b) => a - b);
}

export interface RowTracks {
  /** For `grid-template-rows`: tracks of their own where rows are left out. Empty where none is. */
  readonly template: string;
  /** For `grid-row`, one for each row that is laid out; counted from 1. */
  readonly lines: readonly number[];
}

/** @param laid rows that are laid out, rising; the first and the last of all are among them */
export function rowTracks(heights: RowHeights, laid: readonly number[]): RowTracks {
  const tracks: string[] = [];
  const lines: number[] = [];
  let next = 0;
  for (const row of laid) {
    // The gaps before and after the held room are the grid's own.
    let room = -heights.gap;
    for (let out = next; out < row; out++) room += heightOf(heights, out) + heights.gap;
    if (row > next) tracks.push(`${room}px`);
    tracks.push('auto');
    lines.push(tracks.length);
    next = row + 1;
  }
  return { template: tracks.length > laid.length ? tracks.join(' ') : '', lines };
}
