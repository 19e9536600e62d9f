import { useStore } from 'zustand';
import type { Piece } from '../state/pieces.ts';
import { Choice } from './controls.tsx';
import { ORDERS, type PieceOrder, type PlateStore } from './state.ts';

interface PieceChoiceProps {
  readonly store: PlateStore;
  readonly pieces: readonly Piece[];
  readonly ids: readonly string[];
}

/** Which pieces are drawn, and in which order. */
export function PieceChoice({ store, pieces, ids }: PieceChoiceProps) {
  const order = useStore(store, (state) => state.order);
  const measured = pieces.filter(({ seen }) => seen !== undefined).map(({ id }) => id);
  return (
    <fieldset>
      <legend>Pieces</legend>
      <div className="plate-pieces">
        {pieces.map(({ id, number, title, seen }) => (
          <label key={id}>
            <input
              type="checkbox"
              checked={ids.includes(id)}
              onChange={({ currentTarget }) =>
                store.choose(currentTarget.checked ? [...ids, id] : ids.filter((other) => other !== id))
              }
            />
            <span className="plate-name">
              {number} {title}
              {seen === undefined && <span className="soft"> (not measured yet)</span>}
            </span>
          </label>
        ))}
      </div>
      <p className="plate-row">
        <button type="button" className="button" onClick={() => store.choose(measured)}>
          All
        </button>
        <button type="button" className="button" onClick={() => store.choose([])}>
          None
        </button>
        <span className="soft">
          {ids.length} of {pieces.length}
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
  const chosen = pieces.filter(({ id, seen }) => seen !== undefined && ids.includes(id));
  if (order === 'number') {
    return chosen.toSorted((a, b) => collator.compare(a.number || a.title, b.number || b.title));
  }
  if (order === 'length') {
    const length = ({ seen }: Piece): number => seen?.record.frame.length ?? 0;
    return chosen.toSorted((a, b) => length(b) - length(a));
  }
  return chosen;
}
