import { useDeferredValue, useMemo } from 'react';
import { demoStory } from '../demo/demoDrawer.ts';
import { MatSheets } from '../frame/MatSheets.tsx';
import { OpenButton } from '../frame/OpenButton.tsx';
import { findPieces } from '../state/finding.ts';
import type { Piece } from '../state/pieces.ts';
import { useFinding, usePieces, useQueue, useWorkbench } from '../workbench.ts';
import { ArchiveTools } from './ArchiveTools.tsx';
import { Cards } from './Cards.tsx';
import { FindBar } from './FindBar.tsx';
import { type DrawerPlace, useScrolledPlace } from './place.ts';
import { QueueList } from './QueueList.tsx';

/** The collection: a person's own scans first, then the demo pieces. */
export function Drawer() {
  const pieces = useLaidOut();
  const asked = useFinding();
  const { finding, guide } = useWorkbench();
  const place = useScrolledPlace();
  const wanted = useDeferredValue(asked);
  const found = useMemo(() => findPieces(pieces, wanted), [pieces, wanted]);
  const own = found.filter(({ demo }) => !demo);
  const demos = found.filter(({ demo }) => demo);
  const anyOwn = pieces.some(({ demo }) => !demo);
  const story = demoStory();
  return (
    <div className="drawer">
      <header className="drawer-head">
        <div className="drawer-words">
          <h1>{anyOwn ? 'Drawer' : 'Measure a biface from its scan or a photograph'}</h1>
          <p>
            Drop 3D scans or photographs with a scale anywhere on this page, one or many, or look at a piece
            from the demo drawer first. Everything is measured on this computer; nothing is sent anywhere.
          </p>
          <p className="drawer-ways">
            <OpenButton quiet={anyOwn} />
            <button type="button" className="button" onClick={() => guide.go(0)}>
              Guided look, three minutes
            </button>
          </p>
          <MatSheets />
        </div>
        <ArchiveTools />
      </header>
      <QueueList />
      <TakenOut place={place} />
      {pieces.length > 0 && <FindBar pieces={pieces} fitting={found.length} />}
      {pieces.length > 0 && found.length === 0 && (
        <div className="nothing-found">
          <p>No piece in this drawer fits what is looked for.</p>
          <button type="button" className="button" onClick={() => finding.clear()}>
            Show all {pieces.length} pieces
          </button>
        </div>
      )}
      {own.length > 0 && (
        <section aria-labelledby="own-pieces">
          <h2 id="own-pieces">Opened here</h2>
          <Cards pieces={own} laidOut={place.own} place={place} />
        </section>
      )}
      {demos.length > 0 && (
        <section aria-labelledby="demo-pieces">
          <h2 id="demo-pieces">{story?.title ?? 'Demo drawer'}</h2>
          {story && <p className="soft">{story.story}</p>}
          <Cards pieces={demos} laidOut={place.demos} place={place} />
        </section>
      )}
      {pieces.length === 0 && <p className="soft">The drawer is empty.</p>}
    </div>
  );
}

/** Files that still wait in the queue stand there; they get their card once they are measured. */
function useLaidOut(): readonly Piece[] {
  const pieces = usePieces((state) => state.pieces);
  const entries = useQueue((state) => state.entries);
  return useMemo(() => {
    const queued = new Set(
      entries.flatMap(({ id, state }) => (state === 'waiting' || state === 'measuring' ? [id] : [])),
    );
    return pieces.filter(({ id }) => !queued.has(id));
  }, [pieces, entries]);
}

/** What was taken out, and the way back. */
function TakenOut({ place }: { place: DrawerPlace }) {
  const takenOut = usePieces((state) => state.takenOut);
  const { pieces } = useWorkbench();
  const last = takenOut.at(-1);
  const name = last && (last.number || last.title);
  const words =
    takenOut.length > 1
      ? `${takenOut.length} pieces were taken out of the drawer, ${name} last.`
      : last && `${name} was taken out of the drawer.`;
  const putBack = (all: boolean): void => {
    place.wanted = last === undefined ? null : { piece: last.id, scroll: true };
    pieces.putBack(all);
  };
  return (
    <>
      <p className="unseen" role="status">
        {words} {last && 'It can be put back with a button above the pieces.'}
      </p>
      {last !== undefined && (
        <div className="taken-out">
          <p>
            {words} {takenOut.some(({ demo }) => !demo) && 'Scans are cleared away when this page is closed.'}
          </p>
          <button type="button" className="button" onClick={() => putBack(false)}>
            Put back
          </button>
          {takenOut.length > 1 && (
            <button type="button" className="button" onClick={() => putBack(true)}>
              Put all back
            </button>
          )}
        </div>
      )}
    </>
  );
}
