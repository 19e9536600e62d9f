import { type KeyboardEvent, useId, useLayoutEffect, useRef, useState } from 'react';
import { neverLaidOut, useRowWindow } from '../drawer/useRowWindow.ts';
import type { Piece } from '../state/pieces.ts';

/** A line of text with its box, as a first guess, CSS px. */
const LINE = 28;
/** Rows that Page Up and Page Down pass. */
const PAGE = 8;

interface PieceListProps {
  readonly pieces: readonly Piece[];
  readonly chosen: ReadonlySet<string>;
  readonly onChoose: (id: string, on: boolean) => void;
}

/**
 * Pieces to tick, one a row. It is one stop of the tabulator: arrow keys go from row to row. Of many pieces only the
 * rows near what is seen are there.
 */
export function PieceList({ pieces, chosen, onChoose }: PieceListProps) {
  const grid = useRef<HTMLUListElement>(null);
  const box = useRef<HTMLDivElement>(null);
  const hint = useId();
  const [laidOut] = useState(() => neverLaidOut(LINE));
  const [at, setAt] = useState<string | null>(null);
  /** The row that keys went to is to have the focus as soon as it is there. */
  const [goes, setGoes] = useState(false);
  const first = pieces.findIndex(({ id }) => chosen.has(id));
  const here = pieces.findIndex(({ id }) => id === at);
  const stop = here >= 0 ? here : Math.max(0, first);
  const { columns, rows, template, trackOf } = useRowWindow(grid, laidOut, pieces.length, stop, box);

  useLayoutEffect(() => {
    if (!goes) return;
    const row = grid.current?.querySelector<HTMLElement>(`[aria-posinset="${stop + 1}"] input`);
    if (!row) return;
    setGoes(false);
    row.focus();
  });
  const onKeyDown = (event: KeyboardEvent): void => {
    const to = rowAfter(event.key, stop, pieces.length);
    if (to === undefined || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    setAt(pieces[to].id);
    setGoes(true);
  };

  return (
    <>
      <p id={hint} className="unseen">
        Arrow keys go from piece to piece, the space bar ticks.
      </p>
      {/* biome-ignore lint/a11y/noStaticElementInteractions: keys of the boxes in it */}
      <div ref={box} className="plate-pieces" onKeyDown={onKeyDown}>
        <ul
          ref={grid}
          aria-label="Pieces to draw"
          aria-describedby={hint}
          data-columns={columns}
          style={{ gridTemplateRows: template }}
        >
          {rows.map((row, k) => {
            const { id, number, title, seen } = pieces[row];
            return (
              <li
                key={id}
                data-row={row}
                aria-setsize={pieces.length}
                aria-posinset={row + 1}
                style={{ gridRow: trackOf(k) }}
              >
                <label>
                  <input
                    type="checkbox"
                    tabIndex={row === stop ? 0 : -1}
                    aria-describedby={hint}
                    checked={chosen.has(id)}
                    onFocus={() => setAt(id)}
                    onChange={({ currentTarget }) => onChoose(id, currentTarget.checked)}
                  />
                  <span className="plate-name">
                    {number} {title}
                    {seen === undefined && <span className="soft"> (not measured yet)</span>}
                  </span>
                </label>
              </li>
            );
          })}
        </ul>
      </div>
    </>
  );
}

/** The row that a key leads to; undefined for other keys. */
export function rowAfter(key: string, row: number, rows: number): number | undefined {
  const steps: Readonly<Record<string, number>> = {
    ArrowUp: -1,
    ArrowDown: 1,
    PageUp: -PAGE,
    PageDown: PAGE,
    Home: -rows,
    End: rows,
  };
  const step = Object.hasOwn(steps, key) ? steps[key] : undefined;
  return step === undefined || rows === 0 ? undefined : Math.min(rows - 1, Math.max(0, row + step));
}
