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
  const here = chosen?.filter((id) => pieces.some((piece) => piece.id === id));
  const measured = pieces.filter(({ seen }) => seen !== undefined);
  const ids = here ?? [(measured.find(({ id }) => id === onBench) ?? measured[0] ?? pieces[0])?.id ?? ''];
  const drawn = piecesToDraw(pieces, ids, order);
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
