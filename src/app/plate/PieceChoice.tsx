import { useDeferredValue, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import { withWords } from '../state/finding.ts';
import type { Piece } from '../state/pieces.ts';
import { Choice } from './controls.tsx';
import { PieceList } from './PieceList.tsx';
import { ORDERS, type PieceOrder, type PlateStore } from './state.ts';

interface PieceChoiceProps {
  readonly store: PlateStore;
  readonly pieces: readonly Piece[];
  readonly ids: readonly string[];
}

/** So many are seen at a glance. */
const FEW = 12;

/** Which pieces are drawn, and in which order. */
export function PieceChoice({ store, pieces, ids }: PieceChoiceProps) {
  const order = useStore(store, (state) => state.order);
  const [text, setText] = useState('');
  const chosen = useMemo(() => new Set(ids), [ids]);
  const wanted = useDeferredValue(text);
  const found = useMemo(() => withWords(pieces, wanted), [pieces, wanted]);
  const many = pieces.length > FEW;
  const isNarrowed = wanted.trim() !== '';
  const among = new Set(isNarrowed ? found.map(({ id }) => id) : []);
  const others = ids.filter((id) => isNarrowed && !among.has(id));
  const measured = found.flatMap(({ id, seen }) => (seen === undefined ? [] : [id]));
  return (
    <fieldset>
      <legend>Pieces</legend>
      {many && (
        <input
          type="search"
          placeholder="Find among these"
          aria-label="Find among the pieces"
          value={text}
          onChange={({ currentTarget }) => setText(currentTarget.value)}
        />
      )}
      {found.length === 0 ? (
        <p className="soft">No piece fits.</p>
      ) : (
        <PieceList
          pieces={found}
          chosen={chosen}
          onChoose={(id, on) => store.choose(on ? [...ids, id] : ids.filter((other) => other !== id))}
        />
      )}
      <p className="plate-row">
        <button type="button" className="button" onClick={() => store.choose([...others, ...measured])}>
          {isNarrowed ? 'All of these' : 'All'}
        </button>
        <button type="button" className="button" onClick={() => store.choose(others)}>
          {isNarrowed ? 'None of these' : 'None'}
        </button>
        <span className="soft" role="status">
          {isNarrowed && `${found.length} found, `}
          {ids.length} of {pieces.length} chosen
        </span>
      </p>
      {ids.length > 1 && (
        <Choice
          label="Order"
          value={order}
          options={(Object.keys(ORDERS) as PieceOrder[]).map((id) => [id, ORDERS[id]])}
          onPick={store.reorder}
        />
      )}
    </fieldset>
  );
}

const collator = new Intl.Collator('en', { numeric: true });

/** The chosen pieces that have been measured, in the order in which they are drawn. */
export function piecesToDraw(
  pieces: readonly Piece[],
  ids: readonly string[],
  order: PieceOrder,
): readonly Piece[] {
  const asked = new Set(ids);
  const chosen = pieces.filter(({ id, seen }) => seen !== undefined && asked.has(id));
  if (order === 'number') {
    return chosen.toSorted((a, b) => collator.compare(a.number || a.title, b.number || b.title));
  }
  if (order === 'length') {
    const length = ({ seen }: Piece): number => seen?.record.frame.length ?? 0;
    return chosen.toSorted((a, b) => length(b) - length(a));
  }
  return chosen;
}
