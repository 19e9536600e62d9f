import { useDeferredValue, useState } from 'react';
import type { Photograph } from '../../state/bench.ts';
import { useBench } from '../../workbench.ts';
import { Heading } from '../Heading.tsx';
import { Ledger } from '../ledger/Ledger.tsx';
import { Sheet } from '../sheet/Sheet.tsx';
import { PhotoView } from './PhotoView.tsx';
import { ScaleTool } from './ScaleTool.tsx';

/** A piece in a photograph: the picture with what was traced in it, plan and strips, and how the scale is had. */
export function PhotoBench({ photograph }: { photograph: Photograph }) {
  const measured = useBench((state) => state.measured);
  // Plan and ledger are drawn when there is time for it: the photograph never waits for their hundreds of rows.
  const shown = useDeferredValue(measured);
  const piece = useBench((state) => state.piece);
  const phase = useBench((state) => state.phase);
  /** Places that were clicked for a scale whose length is not told yet: none, x0 y0, or x0 y0 x1 y1, pixels. */
  const [points, setPoints] = useState<readonly number[]>([]);
  return (
    <div className="bench photo-bench" data-phase={phase} data-bare={shown === null}>
      <Heading />
      <div className="views">
        <PhotoView photograph={photograph} points={points} onPoints={setPoints} />
        {shown !== null && <Sheet measured={shown} />}
        <ScaleTool photograph={photograph} points={points} onPoints={setPoints} />
      </div>
      {shown !== null && piece !== null && <Ledger record={shown.record} piece={piece.id} />}
    </div>
  );
}
