import '@fontsource-variable/source-sans-3/wght.css';
import '@fontsource-variable/source-serif-4/wght.css';
import './style/tokens.css';
import './style/page.css';
import './drawer/drawer.css';
import './bench/bench.css';
import './bench/ledger/ledger.css';
import './lineup/lineup.css';
import './lineup/chart.css';
import './plate/plate.css';
import './bench/byHand/byHand.css';
import './bench/fields/fields.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { demoPieces } from './demo/demoDrawer.ts';
import { WorkerEngine } from './engine/workerEngine.ts';
import { restoreTheme } from './frame/theme.ts';
import { createKeeper } from './keep/keeper.ts';
import { restoreDrawer, toKept } from './keep/restore.ts';
import { createLineup } from './lineup/state.ts';
import { createBench } from './state/bench.ts';
import { createLooking } from './state/looking.ts';
import { createPieces } from './state/pieces.ts';
import { formatRoute } from './state/route.ts';
import { type Workbench, WorkbenchContext } from './workbench.ts';

restoreTheme();

const keeper = createKeeper(({ id, title, history, catalogue, hand }) => {
  pieces.adopt(id, { title, history, catalogue, hand });
  bench.adopt(id, history);
});
const pieces = createPieces(
  demoPieces(),
  (piece, removed) => void keeper.put(toKept(piece, removed), piece.file),
);
const engine = new WorkerEngine();
const bench = createBench(
  engine,
  (piece, seen) => pieces.update(piece.id, { seen }),
  (piece, history) => pieces.edit(piece.id, { history }),
);
// Cards are measured by a second worker, so that laying a piece on the bench never waits for them.
const looking = createLooking(new WorkerEngine(), pieces);

const lineup = createLineup(pieces);

const workbench: Workbench = {
  keeper,
  pieces,
  bench,
  goTo(route) {
    location.hash = formatRoute(route);
  },
  take(files) {
    const [first] = pieces.add(files);
    if (first !== undefined) workbench.goTo({ place: 'bench', piece: first.id });
  },
};

void engine.families().then(pieces.learn);

await restoreDrawer(keeper, pieces);

const root = document.getElementById('app');
if (root === null) throw new Error('index.html has no #app');
createRoot(root).render(
  <StrictMode>
    <WorkbenchContext value={workbench}>
      <App looking={looking} lineup={lineup} />
    </WorkbenchContext>
  </StrictMode>,
);
