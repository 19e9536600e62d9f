import { useDeferredValue, useEffect, useMemo } from 'react';
import { useBench, useWorkbench } from '../workbench.ts';
import { Heading } from './Heading.tsx';
import { DeskView } from './handCheck/DeskView.tsx';
import { HandCheckPanel } from './handCheck/HandCheckPanel.tsx';
import { Ledger } from './ledger/Ledger.tsx';
import { PhotoBench } from './photo/PhotoBench.tsx';
import { SectionView } from './SectionView.tsx';
import { Sheet } from './sheet/Sheet.tsx';
import { Stage } from './stage/Stage.tsx';
import { UnrolledMargin } from './UnrolledMargin.tsx';
import { Waiting } from './Waiting.tsx';

/** One piece, seen four ways beside its numbers; all of them point at the same station. */
export function Bench() {
  const found = useBench((state) => state.measured);
  const surface = useBench((state) => state.traced);
  const photograph = useBench((state) => state.photograph);
  const piece = useBench((state) => state.piece);
  // Views and ledger are drawn between other work, so that they never hold up the page.
  const laid = useDeferredValue(useMemo(() => ({ piece, found, surface }), [piece, found, surface]));
  const measured = laid.piece === piece && found !== null ? laid.found : null;
  const traced = laid.piece === piece && surface !== null ? laid.surface : null;
  const reached = useBench((state) => state.phase);
  const phase = reached === 'ready' && measured !== found ? 'working' : reached;
  const handCheck = useBench((state) => state.handCheck);
  const { bench } = useWorkbench();
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.key === 'Escape') {
        bench.takeUp(null);
        bench.hide();
        return;
      }
      const step = stepOf(event);
      // A field that is written in takes back its own letters, and who measures by hand sees nothing of the settings.
      if (step === null || isWrittenIn(event.target) || bench.getState().handCheck !== null) return;
      event.preventDefault();
      bench[step]();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [bench]);
  if (piece !== null && photograph !== null) return <PhotoBench />;
  if (piece === null || (surface === null && found === null)) return <Waiting />;
  if (measured !== null && handCheck !== null) {
    return (
      <div className="bench" data-phase={phase} data-checking="true">
        <Heading />
        <div className="views">
          <Stage traced={traced} />
          <DeskView measured={measured} guess={handCheck} />
        </div>
        <HandCheckPanel record={measured.record} guess={handCheck} />
      </div>
    );
  }
  return (
    <div className="bench" data-phase={phase}>
      <Heading />
      <div className="views">
        <Stage traced={traced} />
        {found === null && (
          <div className="views-waiting">
            <Waiting />
          </div>
        )}
        {measured !== null && (
          <>
            <Sheet measured={measured} />
            <UnrolledMargin record={measured.record} />
            <SectionView measured={measured} />
          </>
        )}
      </div>
      {measured !== null && <Ledger record={measured.record} piece={piece.id} />}
    </div>
  );
}

/** Ctrl (on a Mac ⌘) and Z go a step back, with Shift, or Ctrl and Y, a step forth. */
function stepOf({ key, ctrlKey, metaKey, altKey, shiftKey }: KeyboardEvent): 'undo' | 'redo' | null {
  if (altKey || ctrlKey === metaKey) return null;
  const letter = key.toLowerCase();
  if (letter === 'z') return shiftKey ? 'redo' : 'undo';
  return letter === 'y' && ctrlKey ? 'redo' : null;
}

function isWrittenIn(target: EventTarget | null): boolean {
  if (target instanceof HTMLTextAreaElement) return true;
  return target instanceof HTMLInputElement && target.type !== 'checkbox';
}
