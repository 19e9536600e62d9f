import { useDeferredValue, useEffect, useLayoutEffect, useRef, useSyncExternalStore } from 'react';
import { Bench } from './bench/Bench.tsx';
import { Drawer } from './drawer/Drawer.tsx';
import { DropAnywhere } from './frame/DropAnywhere.tsx';
import { Foot } from './frame/Foot.tsx';
import { Mishap } from './frame/Mishap.tsx';
import { TopBar } from './frame/TopBar.tsx';
import { GuidedLook } from './guide/GuidedLook.tsx';
import { Lineup } from './lineup/Lineup.tsx';
import type { LineupStore } from './lineup/state.ts';
import { Plate } from './plate/Plate.tsx';
import type { PlateStore } from './plate/state.ts';
import { faultFromCode } from './state/fault.ts';
import { parseRoute, type Route } from './state/route.ts';
import { usePieces, useWorkbench } from './workbench.ts';

const TITLES = { drawer: 'Drawer', bench: 'Bench', plate: 'Plate', lineup: 'Lineup' } as const;

interface AppProps {
  readonly lineup: LineupStore;
  readonly plate: PlateStore;
}

/** The frame of the workbench and the place in it that the address names. */
export function App({ lineup, plate }: AppProps) {
  const { pieces, bench, queue } = useWorkbench();
  // A place is drawn between other work, so that going there never holds up the page.
  const hash = useDeferredValue(useSyncExternalStore(onHash, () => location.hash));
  const route: Route = parseRoute(hash);
  const pieceId = route.place === 'bench' ? route.piece : null;

  const title = usePieces(({ pieces }) => pieces.find(({ id }) => id === pieceId)?.title);
  useEffect(() => {
    document.title = `${title ?? TITLES[route.place]} · Knapgauge`;
  }, [title, route.place]);

  useEffect(() => {
    if (pieceId === null) {
      queue.start();
      return;
    }
    queue.stop();
    const piece = pieces.find(pieceId);
    if (piece !== undefined) bench.open(piece);
    else {
      const what =
        'This link is to a piece that was opened from a computer’s own disk and is no longer in the drawer.';
      bench.refuse(faultFromCode('file-missing', what));
    }
  }, [pieceId, queue, pieces, bench]);

  useStartAtTop(route, pieceId);

  return (
    <DropAnywhere>
      <TopBar route={route} />
      <main id="place">
        <Mishap key={route.place === 'bench' ? hash : route.place}>
          {route.place === 'drawer' && <Drawer />}
          {route.place === 'bench' && <Bench />}
          {route.place === 'plate' && <Plate store={plate} />}
          {route.place === 'lineup' && <Lineup view={route.view} store={lineup} />}
        </Mishap>
      </main>
      {route.place !== 'bench' && <Foot />}
      <GuidedLook />
    </DropAnywhere>
  );
}

/** A place begins at its top, except the drawer, which one finds again as it was left. */
function useStartAtTop({ place }: Route, pieceId: string | null): void {
  const { drawerPlace } = useWorkbench();
  const here = `${place} ${pieceId}`;
  const left = useRef(here);
  useLayoutEffect(() => {
    // What the browser itself finds again after a reload is left as it is.
    if (left.current === here) return;
    left.current = here;
    window.scrollTo(0, place === 'drawer' ? drawerPlace.scrolledTo : 0);
  }, [here, place, drawerPlace]);
}

function onHash(listener: () => void): () => void {
  window.addEventListener('hashchange', listener);
  return () => window.removeEventListener('hashchange', listener);
}
