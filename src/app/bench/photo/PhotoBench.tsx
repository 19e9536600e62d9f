import { useDeferredValue, useEffect, useState } from 'react';
import { shownViews } from '../../state/views.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { Heading } from '../Heading.tsx';
import { Ledger } from '../ledger/Ledger.tsx';
import { Sheet } from '../sheet/Sheet.tsx';
import { PhotoTools } from './PhotoTools.tsx';
import { PhotoView } from './PhotoView.tsx';
import { ScaleTool } from './ScaleTool.tsx';
import { PhotoTargetContext, photoTargets } from './target.ts';
import { ViewTabs } from './ViewTabs.tsx';

/** A piece in photographs: the pictures with what was traced in them, plan and strips, and how their scale is had. */
export function PhotoBench() {
  const workbench = useWorkbench();
  const measured = useBench((state) => state.measured);
  const photograph = useBench((state) => state.photograph);
  const views = useBench((state) => state.views);
  const history = useBench((state) => state.history);
  const piece = useBench((state) => state.piece);
  const phase = useBench((state) => state.phase);
  const inHand = useBench((state) => state.inHand);
  // Plan and ledger are drawn when there is time for it: the photograph never waits for their hundreds of rows.
  const shown = useDeferredValue(measured);
  const [beside, setBeside] = useState(true);
  /** Places that were clicked for a scale whose length is not told yet, and in which picture. */
  const [clicked, setClicked] = useState<{ readonly file: string; readonly points: readonly number[] }>();
  // Undoing may take away the very photograph that was in hand.
  const there = inHand === 'A' || shownViews(history.present).some(({ view }) => view === inHand);
  useEffect(() => {
    if (!there) workbench.bench.takeInHand('A');
  }, [there, workbench]);
  const targets = photoTargets({ photograph, views, measured, history }, workbench);
  const held = targets.find(({ view }) => view === inHand) ?? targets[0];
  const points = clicked?.file === held.file ? clicked.points : [];
  const onPoints = (next: readonly number[]): void => setClicked({ file: held.file, points: next });
  const all = beside && targets.length > 1;
  return (
    <div className="bench photo-bench" data-phase={phase} data-bare={shown === null}>
      <Heading />
      <div className="views">
        <div className="photo-side">
          <ViewTabs targets={targets} beside={beside} onBeside={setBeside} />
          {all && (
            <PhotoTargetContext value={held}>
              <PhotoTools />
            </PhotoTargetContext>
          )}
          <div className="photo-panes" data-count={all ? targets.length : 1}>
            {(all ? targets : [held]).map((target) => (
              <PhotoTargetContext key={target.file} value={target}>
                <PhotoView beside={all} points={target === held ? points : []} onPoints={onPoints} />
              </PhotoTargetContext>
            ))}
          </div>
        </div>
        {shown !== null && <Sheet measured={shown} />}
        <PhotoTargetContext value={held}>
          <ScaleTool points={points} onPoints={onPoints} />
        </PhotoTargetContext>
      </div>
      {shown !== null && piece !== null && <Ledger record={shown.record} piece={piece.id} />}
    </div>
  );
}
