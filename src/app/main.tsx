import '@fontsource-variable/source-sans-3/wght.css';
import '@fontsource-variable/source-serif-4/wght.css';
import './style/tokens.css';
import './style/page.css';
import './drawer/drawer.css';
import './bench/bench.css';
import './bench/ledger/ledger.css';
import './lineup/lineup.css';
import './lineup/chart.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { demoPieces } from './demo/demoDrawer.ts';
import { WorkerEngine } from './engine/workerEngine.ts';
import { restoreTheme } from './frame/theme.ts';
import { createLineup } from './lineup/state.ts';
import { createBench } from './state/bench.ts';
import { createLooking } from './state/looking.ts';
import { createPieces } from './state/pieces.ts';
import { formatRoute } from './state/route.ts';
import { type Workbench, WorkbenchContext } from './workbench.ts';

restoreTheme();

const pieces = createPieces(demoPieces());
const engine = new WorkerEngine();
const bench = createBench(engine, (piece, seen) => pieces.update(piece.id, { seen }));
// Cards are measured by a second worker, so that laying a piece on the bench never waits for them.
const looking = createLooking(new WorkerEngine(), pieces);

const lineup = createLineup(pieces);

const workbench: Workbench = {
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

const root = document.getElementById('app');
if (root === null) throw new Error('index.html has no #app');
createRoot(root).render(
  <StrictMode>
    <WorkbenchContext value={workbench}>
      <App looking={looking} lineup={lineup} />
    </WorkbenchContext>
  </StrictMode>,
);
