import { type RefObject, useCallback, useEffect, useLayoutEffect, useState } from 'react';
import { flushSync } from 'react-dom';
import { type RowHeights, rowsAcross, rowsLaidOut, rowTracks } from './rowWindow.ts';

/** Cards above and below what is seen that are there before one scrolls to them; so small drawers are there as a whole. */
const SPARE = 24;

/** What is known of a grid that was laid out. Kept while one is elsewhere: everything is then found in its place again. */
export interface LaidOut extends RowHeights {
  /** Height of a row before any was laid out, CSS px. */
  readonly firstEstimate: number;
  /** Cards in a row; 0 before the first layout. */
  columns: number;
  gap: number;
  estimate: number;
  readonly known: Map<number, number>;
}

export function neverLaidOut(firstEstimate: number): LaidOut {
  return { firstEstimate, columns: 0, gap: 0, estimate: firstEstimate, known: new Map() };
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
 * @param box what scrolls over the grid; the window where there is none
 */
export function useRowWindow(
  grid: RefObject<HTMLElement | null>,
  laidOut: LaidOut,
  count: number,
  held: number | null,
  box?: RefObject<HTMLElement | null>,
): RowWindow {
  const [seen, setSeen] = useState({ columns: laidOut.columns, estimate: laidOut.estimate, from: 0, to: 0 });
  const [printing, setPrinting] = useState(false);

  const look = useCallback(() => {
    if (grid.current === null) return;
    layOut(grid.current, laidOut);
    const { columns, estimate } = laidOut;
    const start = grid.current.getBoundingClientRect().top;
    const shown = box?.current?.getBoundingClientRect() ?? { top: 0, bottom: window.innerHeight };
    const rows = Math.ceil(count / columns);
    const spare = Math.ceil(SPARE / columns) * (estimate + laidOut.gap);
    const { from, to } = rowsAcross(laidOut, rows, shown.top - start - spare, shown.bottom - start + spare);
    setSeen((before) =>
      before.columns === columns && before.estimate === estimate && before.from === from && before.to === to
        ? before
        : { columns, estimate, from, to },
    );
  }, [grid, box, laidOut, count]);

  // After every drawing: what was drawn is measured, and may leave room in the window.
  useLayoutEffect(look);
  useEffect(() => {
    const observer = new ResizeObserver(look);
    if (grid.current !== null) observer.observe(grid.current);
    // What stands above the grid moves it.
    observer.observe(document.body);
    // On its way down, for what scrolls inside the page tells only itself.
    window.addEventListener('scroll', look, { passive: true, capture: true });
    window.addEventListener('resize', look);
    return () => {
      observer.disconnect();
      window.removeEventListener('scroll', look, { capture: true });
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
    // `normal` is none.
    laidOut.gap = Number.parseFloat(rowGap) || 0;
    laidOut.estimate = laidOut.firstEstimate;
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
