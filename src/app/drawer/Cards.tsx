import { useRef, useState } from 'react';
import type { Piece } from '../state/pieces.ts';
import { Card } from './Card.tsx';
import { type LaidOut, useRowWindow } from './useRowWindow.ts';

interface CardsProps {
  readonly pieces: readonly Piece[];
  readonly laidOut: LaidOut;
}

/** Pieces as cards in rows. Of many pieces only the cards near what is seen are there, for the others room is held. */
export function Cards({ pieces, laidOut }: CardsProps) {
  const grid = useRef<HTMLUListElement>(null);
  // Kept when the focus goes elsewhere: it may come back, as it does with the window of the browser.
  const [focused, setFocused] = useState<string | null>(null);
  const held = pieces.findIndex(({ id }) => id === focused);
  const { columns, rows, template, trackOf } = useRowWindow(
    grid,
    laidOut,
    pieces.length,
    held < 0 ? null : held,
  );
  return (
    <ul ref={grid} className="cards" data-columns={columns} style={{ gridTemplateRows: template }}>
      {rows.flatMap((row, k) => {
        const first = row * columns;
        return pieces.slice(first, first + columns).map((piece, place) => (
          <li
            key={piece.id}
            className="card"
            data-row={row}
            aria-setsize={pieces.length}
            aria-posinset={first + place + 1}
            style={{ gridRow: trackOf(k) }}
            onFocus={() => setFocused(piece.id)}
          >
            <Card piece={piece} />
          </li>
        ));
      })}
    </ul>
  );
}
