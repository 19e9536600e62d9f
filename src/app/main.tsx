import '@fontsource-variable/source-sans-3/wght.css';
import '@fontsource-variable/source-serif-4/wght.css';
import './style/tokens.css';
import './style/page.css';
import './drawer/drawer.css';
import './guide/guide.css';
import './bench/bench.css';
import './bench/ledger/ledger.css';
import './bench/show/show.css';
import './bench/handCheck/handCheck.css';
import './bench/photo/photo.css';
import './lineup/lineup.css';
import './lineup/chart.css';
import './plate/plate.css';
import './bench/byHand/byHand.css';
import './bench/fields/fields.css';
import './style/narrow.css';
import './style/forced.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { hasGraphics } from './bench/stage/graphics.ts';
import { demoPieces } from './demo/demoDrawer.ts';
import { createDrawerPlace } from './drawer/place.ts';
import { FileEngine, queueLanes } from './engine/fileEngine.ts';
import { keepFocus } from './frame/focusHeir.ts';
import { restoreTheme } from './frame/theme.ts';
import { whenIdle } from './idle.ts';
import { openDatabase } from './keep/database.ts';
import { ENGINE_MARK } from './keep/engineMark.ts';
import { createKeeper } from './keep/keeper.ts';
import { keepForOffline } from './keep/keepForOffline.ts';
import { createMeasuredStore } from './keep/measuredStore.ts';
import { followOtherTabs, joinTabs } from './keep/otherTabs.ts';
import { checkScans, createDrawings, keepMeasured, recallMeasured } from './keep/recall.ts';
import { photosAtHand, restoreDrawer, toKept } from './keep/restore.ts';
import { createLineup } from './lineup/state.ts';
import { createPlate } from './plate/state.ts';
import { createBench } from './state/bench.ts';
import { createFinding } from './state/finding.ts';
import { createGuide } from './state/guide.ts';
import { createPieces } from './state/pieces.ts';
import { createQueue } from './state/queue.ts';
import { formatRoute, parseRoute } from './state/route.ts';
import { createTake } from './take.ts';
import { type Workbench, WorkbenchContext } from './workbench.ts';

restoreTheme();
// Beginning graphics takes a moment: not the one in which a piece is opened.
whenIdle(hasGraphics);

const measured = createMeasuredStore();
const keeper = createKeeper((kept) => follow(kept), measured.makeRoom, openDatabase, joinTabs);
const pieces = createPieces(
  demoPieces(),
  (piece, removed) => void keeper.put(toKept(piece, removed), piece.file, photosAtHand(piece)),
  (piece, { packed }) => keepMeasured(measured, ENGINE_MARK, piece, packed),
);
const engine = new FileEngine();
const drawings = createDrawings(measured, ENGINE_MARK);
const bench = createBench(
  engine,
  (piece, seen, drawing) => {
    pieces.update(piece.id, { seen });
    drawings.keep(piece, seen, drawing);
  },
  (piece, history) => pieces.edit(piece.id, { history }),
  drawings.recall,
  ({ id }, fault, seen) => {
    const route = parseRoute(location.hash);
    // Who has left the bench meanwhile reads it on the card.
    if (route.place === 'bench' && route.piece === id) pieces.fail(id, fault, seen);
    else pieces.update(id, { fault });
  },
);
const follow = followOtherTabs({ keeper, pieces, bench, measured });
// The queue and the cards have workers of their own, so that laying a piece on the bench never waits for them.
const queue = createQueue(
  Array.from({ length: queueLanes() }, () => new FileEngine()),
  pieces,
);

const lineup = createLineup(pieces);
const plate = createPlate();

const goTo: Workbench['goTo'] = (route) => {
  location.hash = formatRoute(route);
};
const workbench: Workbench = {
  keeper,
  measured,
  pieces,
  bench,
  queue,
  finding: createFinding(),
  drawerPlace: createDrawerPlace(),
  guide: createGuide(),
  goTo,
  photos: engine.photos,
  take: createTake(pieces, bench, queue, lineup, goTo),
};

void engine.families().then(pieces.learn);

// Numbers that were kept are drawn at once: letters that come later would shift what stands below them.
const letters = Promise.allSettled(
  ['Source Sans 3 Variable', 'Source Serif 4 Variable'].map((name) => document.fonts.load(`1em "${name}"`)),
);
await restoreDrawer(keeper, pieces);
const route = parseRoute(location.hash);
const first = route.place === 'bench' ? route.piece : null;
const recallOthers = await recallMeasured(measured, ENGINE_MARK, pieces, first);

keepForOffline();

await letters;
const root = document.getElementById('app');
if (root === null) throw new Error('index.html has no #app');
keepFocus(root, 'place');
createRoot(root).render(
  <StrictMode>
    <WorkbenchContext value={workbench}>
      <App lineup={lineup} plate={plate} />
    </WorkbenchContext>
  </StrictMode>,
);

void recallOthers().then((ids) =>
  checkScans(pieces, ids, (id) => {
    // What lies on the bench may be drawn from what was kept.
    if (bench.getState().piece?.id === id) bench.again();
  }),
);
