import { useMemo } from 'react';
import { useStore } from 'zustand';
import { useBench, usePieces } from '../workbench.ts';
import { PieceChoice, piecesToDraw } from './PieceChoice.tsx';
import { Preview } from './Preview.tsx';
import { SaveButtons } from './SaveButtons.tsx';
import { StyleFields } from './StyleFields.tsx';
import { StyleShelf } from './StyleShelf.tsx';
import type { PlateStore } from './state.ts';
import { useDrawn } from './useDrawn.ts';

/** Plates: the standard figure of one piece or a series, at true scale, as it will be printed. */
export function Plate({ store }: { store: PlateStore }) {
  const pieces = usePieces((state) => state.pieces);
  const onBench = useBench((state) => state.piece?.id);
  const { ids: chosen, order, page, style } = useStore(store);
  const ids = useMemo(() => {
    const there = new Set(pieces.map(({ id }) => id));
    if (chosen !== null) return chosen.filter((id) => there.has(id));
    const measured = pieces.filter(({ seen }) => seen !== undefined);
    const first = measured.find(({ id }) => id === onBench) ?? measured[0] ?? pieces[0];
    return first === undefined ? [] : [first.id];
  }, [pieces, chosen, onBench]);
  const drawn = useMemo(() => piecesToDraw(pieces, ids, order), [pieces, ids, order]);
  const view = useDrawn(drawn, style, page);
  return (
    <div className="plate-place">
      <form className="plate-choices" onSubmit={(event) => event.preventDefault()}>
        <h1>Plate</h1>
        <PieceChoice store={store} pieces={pieces} ids={ids} />
        <StyleShelf store={store} />
        <StyleFields style={style} onChange={store.change} />
      </form>
      <section className="plate-preview" aria-label="Preview" aria-busy={view.busy}>
        <SaveButtons view={view} pieces={drawn} style={style} />
        <Preview store={store} view={view} empty={drawn.length === 0} />
      </section>
    </div>
  );
}
