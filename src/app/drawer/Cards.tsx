import { useLayoutEffect, useRef, useState } from 'react';
import type { Piece } from '../state/pieces.ts';
import { Card } from './Card.tsx';
import type { DrawerPlace } from './place.ts';
import { type LaidOut, useRowWindow } from './useRowWindow.ts';

interface CardsProps {
  readonly pieces: readonly Piece[];
  readonly laidOut: LaidOut;
  readonly place: DrawerPlace;
}

/** Pieces as cards in rows. Of many pieces only the cards near what is seen are there, for the others room is held. */
export function Cards({ pieces, laidOut, place }: CardsProps) {
  const grid = useRef<HTMLUListElement>(null);
  // Kept when the focus goes elsewhere: it may come back, as it does with the window of the browser.
  const [focused, setFocused] = useState(place.focused);
  const placeOf = (piece: string | null): number => pieces.findIndex(({ id }) => id === piece);
  const wanted = placeOf(place.wanted?.piece ?? null);
  const held = wanted < 0 ? placeOf(focused) : wanted;
  const { columns, rows, template, trackOf } = useRowWindow(
    grid,
    laidOut,
    pieces.length,
    held < 0 ? null : held,
  );
  useLayoutEffect(() => {
    if (wanted < 0) return;
    const card = grid.current?.querySelector<HTMLElement>(`[aria-posinset="${wanted + 1}"] a`);
    if (!card) return;
    const scroll = place.wanted?.scroll === true;
    place.wanted = null;
    // On the way back from elsewhere: what led here, such as a link of the frame, may have it.
    const at = document.activeElement;
    if (scroll || at === document.body || at?.id === 'place') card.focus({ preventScroll: !scroll });
  });
  return (
    <ul ref={grid} className="cards" data-columns={columns} style={{ gridTemplateRows: template }}>
      {rows.flatMap((row, k) => {
        const first = row * columns;
        return pieces.slice(first, first + columns).map((piece, column) => (
          <li
            key={piece.id}
            className="card"
            data-row={row}
            aria-setsize={pieces.length}
            aria-posinset={first + column + 1}
            style={{ gridRow: trackOf(k) }}
            onFocus={() => {
              place.focused = piece.id;
              setFocused(piece.id);
            }}
          >
            <Card piece={piece} />
          </li>
        ));
      })}
    </ul>
  );
}
