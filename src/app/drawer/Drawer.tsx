import { demoStory } from '../demo/demoDrawer.ts';
import { OpenButton } from '../frame/OpenButton.tsx';
import { usePieces, useWorkbench } from '../workbench.ts';
import { ArchiveTools } from './ArchiveTools.tsx';
import { Card } from './Card.tsx';

/** The collection: a person's own scans first, then the demo pieces. */
export function Drawer() {
  const pieces = usePieces((state) => state.pieces);
  const own = pieces.filter(({ demo }) => !demo);
  const demos = pieces.filter(({ demo }) => demo);
  const story = demoStory();
  return (
    <div className="drawer">
      <header className="drawer-head">
        <h1>{own.length > 0 ? 'Drawer' : 'Measure a biface from its scan'}</h1>
        <p>
          Drop a 3D scan anywhere on this page, or look at a piece from the demo drawer first. Everything is
          measured on this computer; nothing is sent anywhere.
        </p>
        {own.length === 0 && <OpenButton />}
      </header>
      <ArchiveTools />
      <TakenOut />
      {own.length > 0 && (
        <section aria-labelledby="own-pieces">
          <h2 id="own-pieces">Opened here</h2>
          <ul className="cards">
            {own.map((piece) => (
              <Card key={piece.id} piece={piece} />
            ))}
          </ul>
        </section>
      )}
      <section aria-labelledby="demo-pieces">
        <h2 id="demo-pieces">{story?.title ?? 'Demo drawer'}</h2>
        {story && <p className="soft">{story.story}</p>}
        {demos.length === 0 ? (
          <p className="soft">The demo pieces were taken out.</p>
        ) : (
          <ul className="cards">
            {demos.map((piece) => (
              <Card key={piece.id} piece={piece} />
            ))}
          </ul>
        )}
      </section>
    </div>
  );
}

/** What was taken out, and the way back. */
function TakenOut() {
  const takenOut = usePieces((state) => state.takenOut);
  const { pieces } = useWorkbench();
  const last = takenOut.at(-1);
  if (last === undefined) return null;
  return (
    <div className="taken-out" role="status">
      <p>
        {takenOut.length === 1
          ? `${last.number || last.title} was taken out of the drawer.`
          : `${takenOut.length} pieces were taken out of the drawer, ${last.number || last.title} last.`}{' '}
        {takenOut.some(({ demo }) => !demo) && 'Scans are cleared away when this page is closed.'}
      </p>
      <button type="button" className="button" onClick={() => pieces.putBack()}>
        Put back
      </button>
      {takenOut.length > 1 && (
        <button type="button" className="button" onClick={() => pieces.putBack(true)}>
          Put all back
        </button>
      )}
    </div>
  );
}
