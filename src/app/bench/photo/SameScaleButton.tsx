import { useState } from 'react';
import { lacksScale } from '../../state/queue.ts';
import { useBench, usePieces, useWorkbench } from '../../workbench.ts';
import { usePhotoTarget } from './target.ts';

/** Photographs of one session mostly share their bar or camera stand: what was told of one is told of those without a scale. */
export function SameScaleButton() {
  const { queue } = useWorkbench();
  const { told, view } = usePhotoTarget();
  const here = useBench(({ piece }) => piece?.id);
  const waiting = usePieces(({ pieces }) => pieces)
    .filter((piece) => piece.id !== here && lacksScale(piece))
    .map(({ id }) => id);
  const [said, setSaid] = useState('');
  const { method, block, length, pxPerMm } = told;
  const isShared = view === 'A' && (method === 'bar' || method === 'typed');
  const tell = (): void => {
    queue.tellScale(waiting, { method, block, length, pxPerMm });
    setSaid(
      waiting.length === 1 ? 'It is measured with it now.' : `${waiting.length} are measured with it now.`,
    );
  };
  return (
    <p className="scale-shared">
      {isShared && waiting.length > 0 && (
        <button
          type="button"
          className="button"
          title="Photographs of the drawer of which no scale was found. Each can be undone on the bench."
          onClick={tell}
        >
          {waiting.length === 1
            ? 'The same for the other photograph without a scale'
            : `The same for the ${waiting.length} other photographs without a scale`}
        </button>
      )}
      <span className="soft" role="status">
        {said}
      </span>
    </p>
  );
}
