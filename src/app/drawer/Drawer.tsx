import { demoStory } from '../demo/demoDrawer.ts';
import { OpenButton } from '../frame/OpenButton.tsx';
import { usePieces } from '../workbench.ts';
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
          <p className="soft">The demo drawer is empty.</p>
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
