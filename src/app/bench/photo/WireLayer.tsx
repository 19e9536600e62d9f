import { useEffect, useState } from 'react';
import { useBench, useWorkbench } from '../../workbench.ts';
import { dragging, STEPS } from './dragging.ts';
import type { Spot } from './places.ts';
import { ringPath } from './ringPath.ts';
import { usePhotoTarget } from './target.ts';
import type { View } from './useView.ts';
import { type Clicks, moved, without } from './wire.ts';

interface WireLayerProps {
  readonly view: View;
  readonly clicks: Clicks;
  readonly onClicks: (clicks: Clicks) => void;
  /** Where the pointer is while the edge is traced; null elsewhere. */
  readonly pointer: Spot | null;
}

/** The winding edge: the line as it was traced, what it would be up to the pointer, and the places that were clicked. */
export function WireLayer({ view, clicks, onClicks, pointer }: WireLayerProps) {
  const { lines } = usePhotoTarget();
  const tracing = useBench((state) => state.tool === 'edge');
  const ahead = usePreview(clicks, pointer);
  return (
    <g className="wire">
      {lines?.wire && <Line line={lines.wire} view={view} />}
      {ahead && <Line line={ahead} view={view} ahead />}
      {tracing && <Dots view={view} clicks={clicks} onClicks={onClicks} />}
    </g>
  );
}

function Line({ line, view, ahead = false }: { line: Float32Array; view: View; ahead?: boolean }) {
  const d = ringPath([line], view, false);
  return (
    <g pointerEvents="none" className={ahead ? 'wire-ahead' : undefined}>
      <path className="photo-seam" d={d} />
      <path className="wire-line" d={d} />
    </g>
  );
}

/** The clicked places: dragged, moved by the arrow keys, taken away by Delete. */
function Dots({ view, clicks, onClicks }: Omit<WireLayerProps, 'pointer'>) {
  const [held, setHeld] = useState<{ readonly k: number; readonly spot: Spot } | null>(null);
  const spots = Array.from({ length: clicks.length / 2 }, (_, k): Spot => {
    return held?.k === k ? held.spot : [clicks[2 * k], clicks[2 * k + 1]];
  });
  return spots.map((spot, k) => {
    const [x, y] = view.toScreen(...spot);
    return (
      // biome-ignore lint/a11y/useSemanticElements: no element of HTML is a place in a drawing
      <g
        // biome-ignore lint/suspicious/noArrayIndexKey: places have no name but their order
        key={k}
        className="scale-end"
        transform={`translate(${x} ${y})`}
        role="button"
        tabIndex={0}
        aria-label={`Place ${k + 1} on the edge: drag it, move it with the arrow keys, or take it away with Delete`}
        {...dragging(
          view,
          (under) => setHeld({ k, spot: under }),
          () => {
            if (held !== null) onClicks(moved(clicks, k, held.spot));
            setHeld(null);
          },
        )}
        onKeyDown={(event) => {
          const step = STEPS[event.key];
          if (step === undefined && event.key !== 'Delete') return;
          event.preventDefault();
          event.stopPropagation();
          if (step === undefined) {
            onClicks(without(clicks, k));
            return;
          }
          const far = event.shiftKey ? 10 : 1;
          onClicks(moved(clicks, k, [spot[0] + far * step[0], spot[1] + far * step[1]]));
        }}
      >
        <circle className="scale-grip" r={9} />
        <circle className="photo-seam" r={3.5} />
        <circle className="wire-dot" r={3.5} />
      </g>
    );
  });
}

/** The line from the last click to the pointer, asked of the worker one at a time; the latest question counts. */
function usePreview(clicks: Clicks, pointer: Spot | null): Float32Array | null {
  const { photos } = useWorkbench();
  const piece = useBench((state) => state.piece?.id ?? '');
  const { file, told } = usePhotoTarget();
  const [asking, setAsking] = useState(false);
  const [ahead, setAhead] = useState<{ readonly from: string; readonly line: Float32Array } | null>(null);
  const last = clicks.slice(-2);
  const from = last.join(' ');
  const x = pointer?.[0];
  const y = pointer?.[1];
  useEffect(() => {
    if (asking || x === undefined || y === undefined || from === '') return;
    setAsking(true);
    const [x0, y0] = from.split(' ').map(Number);
    photos
      .wire({ source: piece, file, clicks: [x0, y0, x, y], piece: told.piece ?? 1 })
      .then((line) => setAhead(line === null ? null : { from, line }))
      .catch(() => setAhead(null))
      .finally(() => setAsking(false));
  }, [asking, x, y, from, photos, piece, file, told.piece]);
  return pointer !== null && ahead?.from === from ? ahead.line : null;
}
