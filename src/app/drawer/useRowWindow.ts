import { type RefObject, useCallback, useEffect, useLayoutEffect, useState } from 'react';
import { flushSync } from 'react-dom';
import { type RowHeights, rowsAcross, rowsLaidOut, rowTracks } from './rowWindow.ts';

/** Cards above and below what is seen that are there before one scrolls to them; so small drawers are there as a whole. */
const SPARE = 24;
/** Height of a row before any was laid out, CSS px. */
const FIRST_ESTIMATE = 400;

/** What is known of a grid that was laid out. Kept while one is elsewhere: everything is then found in its place again. */
export interface LaidOut extends RowHeights {
  /** Cards in a row; 0 before the first layout. */
  columns: number;
  gap: number;
  estimate: number;
  readonly known: Map<number, number>;
}

export function neverLaidOut(): LaidOut {
  return { columns: 0, gap: 0, estimate: FIRST_ESTIMATE, known: new Map() };
}

interface RowWindow {
  readonly columns: number;
  /** Rows that are to be there, rising. */
  readonly rows: readonly number[];
  /** For the grid: tracks that hold the room of rows that are not there; undefined where all are. */
  readonly template: string | undefined;
  /** For each of the rows: its track; undefined where all rows are there. */
  readonly trackOf: (k: number) => number | undefined;
}

/**
 * Watches which rows of a grid of cards are near what is seen of the page. Cards tell their row in `data-row`, the grid
 * for how many columns it was drawn in `data-columns`.
 *
 * @param count cards in all
 * @param held place of the card that has, or had, the focus; null where none has
 */
export function useRowWindow(
  grid: RefObject<HTMLElement | null>,
  laidOut: LaidOut,
  count: number,
  held: number | null,
): RowWindow {
  const [seen, setSeen] = useState({ columns: laidOut.columns, estimate: laidOut.estimate, from: 0, to: 0 });
  const [printing, setPrinting] = useState(false);

  const look = useCallback(() => {
    if (grid.current === null) return;
    layOut(grid.current, laidOut);
    const { columns, estimate } = laidOut;
    const top = -grid.current.getBoundingClientRect().top;
    const rows = Math.ceil(count / columns);
    const spare = Math.ceil(SPARE / columns) * (estimate + laidOut.gap);
    const { from, to } = rowsAcross(laidOut, rows, top - spare, top + window.innerHeight + spare);
    setSeen((before) =>
      before.columns === columns && before.estimate === estimate && before.from === from && before.to === to
        ? before
        : { columns, estimate, from, to },
    );
  }, [grid, laidOut, count]);

  // After every drawing: what was drawn is measured, and may leave room in the window.
  useLayoutEffect(look);
  useEffect(() => {
    const observer = new ResizeObserver(look);
    if (grid.current !== null) observer.observe(grid.current);
    // What stands above the grid moves it.
    observer.observe(document.body);
    window.addEventListener('scroll', look, { passive: true });
    window.addEventListener('resize', look);
    return () => {
      observer.disconnect();
      window.removeEventListener('scroll', look);
      window.removeEventListener('resize', look);
    };
  }, [grid, look]);
  // Paper has no window.
  useEffect(() => {
    const before = (): void => flushSync(() => setPrinting(true));
    const after = (): void => setPrinting(false);
    window.addEventListener('beforeprint', before);
    window.addEventListener('afterprint', after);
    return () => {
      window.removeEventListener('beforeprint', before);
      window.removeEventListener('afterprint', after);
    };
  }, []);

  const { columns } = seen;
  if (columns === 0) return { columns, rows: [], template: undefined, trackOf: () => undefined };
  const all = Math.ceil(count / columns);
  const span = printing ? { from: 0, to: all } : seen;
  const rows = rowsLaidOut(span, all, held === null ? null : Math.floor(held / columns));
  const { template, lines } = rowTracks(laidOut, rows);
  if (template === '') return { columns, rows, template: undefined, trackOf: () => undefined };
  return { columns, rows, template, trackOf: (k) => lines[k] };
}

/** Reads off a grid how it is laid out. Rows of other columns are other rows. */
function layOut(grid: HTMLElement, laidOut: LaidOut): void {
  const { gridTemplateColumns, rowGap } = getComputedStyle(grid);
  const columns = gridTemplateColumns.split(' ').length;
  if (columns !== laidOut.columns) {
    laidOut.columns = columns;
    laidOut.gap = Number.parseFloat(rowGap);
    laidOut.estimate = FIRST_ESTIMATE;
    laidOut.known.clear();
  }
  // Until it is drawn in these columns, its cards stand in rows that are no more.
  if (grid.dataset.columns !== String(columns)) return;
  const { known } = laidOut;
  const isFirst = known.size === 0;
  let last = -1;
  for (const card of grid.children) {
    const row = Number((card as HTMLElement).dataset.row);
    if (row !== last) known.set(row, card.getBoundingClientRect().height);
    last = row;
  }
  // It stays as it is from then on: room that is held must not change while nobody looks at it.
  if (isFirst && known.size > 0) {
    laidOut.estimate = [...known.values()].reduce((sum, height) => sum + height, 0) / known.size;
  }
}
