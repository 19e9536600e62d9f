import { OpenButton } from '../frame/OpenButton.tsx';
import { type Fault, MEMORY_SHORT } from '../state/fault.ts';
import type { Piece } from '../state/pieces.ts';
import { formatRoute } from '../state/route.ts';
import { stepName } from '../words/stepNames.ts';
import { useBench, usePieces, useWorkbench } from '../workbench.ts';
import { MemoryWays } from './MemoryWays.tsx';

/** What the bench shows while there is nothing to show: work going on, a run that was stopped, a fault. */
export function Waiting() {
  const phase = useBench((state) => state.phase);
  const piece = useBench((state) => state.piece);
  const fault = useBench((state) => state.fault);
  const { bench } = useWorkbench();
  if (phase === 'failed' && fault !== null) {
    return (
      <div className="waiting" role="alert">
        <h1>{headline(piece, fault)}</h1>
        <p className="waiting-what">{fault.what}</p>
        <p>{fault.next}</p>
        <NotKept />
        <p className="waiting-ways">
          {fault.code === MEMORY_SHORT ? (
            <MemoryWays
              thinTo={fault.thinTo}
              onThin={(thin) => bench.change('scan', { thin })}
              onWhole={() => bench.tryWhole()}
            />
          ) : (
            <OpenButton />
          )}
          <a className="button" href={formatRoute({ place: 'drawer' })}>
            Back to the drawer
          </a>
        </p>
      </div>
    );
  }
  if (phase === 'cancelled') {
    return (
      <div className="waiting">
        <h1>{piece?.title}</h1>
        <p className="waiting-what">Measuring was stopped before it was done.</p>
        <p className="waiting-ways">
          <button type="button" className="button button-main" onClick={() => bench.again()}>
            Measure again
          </button>
          <a className="button" href={formatRoute({ place: 'drawer' })}>
            Back to the drawer
          </a>
        </p>
      </div>
    );
  }
  if (phase !== 'working') return null;
  return (
    <div className="waiting">
      <h1>{piece?.title}</h1>
      <ProgressLine />
    </div>
  );
}

/** A file that can't be read has left the drawer again. */
function NotKept() {
  const piece = useBench((state) => state.piece);
  const gone = usePieces(({ pieces }) => piece !== null && pieces.every(({ id }) => id !== piece.id));
  return gone ? <p className="soft">It was not put into the drawer; the file itself is as it was.</p> : null;
}

function headline(piece: Piece | null, { code }: Fault): string {
  if (piece === null) return 'Nothing lies on the bench';
  return code === MEMORY_SHORT ? `${piece.fileName} is very large` : `${piece.fileName} can’t be measured`;
}

/** How far the run is, what it is doing, and the way to stop it. */
export function ProgressLine() {
  const { bench } = useWorkbench();
  const { fraction, step } = useBench((state) => state.progress);
  const percent = Math.round(100 * fraction);
  return (
    <div className="progress">
      <progress max={100} value={percent} aria-label="Measuring" />
      <p role="status">{stepName(step)}</p>
      <button type="button" className="button" onClick={() => bench.cancel()}>
        Cancel
      </button>
    </div>
  );
}
