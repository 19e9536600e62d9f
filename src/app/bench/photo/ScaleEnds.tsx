import { useEffect, useState } from 'react';
import { dragging, STEPS } from './dragging.ts';
import type { View } from './useView.ts';

interface ScaleEndsProps {
  /** x0 y0, or x0 y0 x1 y1, pixels of the photograph. */
  readonly ends: readonly number[];
  readonly view: View;
  readonly onMoved: (ends: readonly number[]) => void;
}

/** Keys may pause so long before the place counts, ms. */
const PAUSE = 400;

/** The ends of what the scale is read from: dragged, or moved by the arrow keys. */
export function ScaleEnds({ ends, view, onMoved }: ScaleEndsProps) {
  const [moved, setMoved] = useState<readonly number[] | null>(null);
  const [byKeys, setByKeys] = useState(0);
  const key = ends.join(' ');
  // biome-ignore lint/correctness/useExhaustiveDependencies: new ends put an end to what was being moved
  useEffect(() => setMoved(null), [key]);
  useEffect(() => {
    if (byKeys === 0 || moved === null) return;
    const timer = setTimeout(() => onMoved(moved), PAUSE);
    return () => clearTimeout(timer);
  }, [byKeys, moved, onMoved]);
  const now = moved ?? ends;
  const put = (k: number, x: number, y: number): readonly number[] => {
    const next = now.map((old, i) => (i === 2 * k ? x : i === 2 * k + 1 ? y : old));
    setMoved(next);
    return next;
  };
  const spots = Array.from({ length: now.length / 2 }, (_, k) => view.toScreen(now[2 * k], now[2 * k + 1]));
  return (
    <g className="scale-ends">
      {spots.length === 2 && (
        <>
          <path className="photo-seam" d={`M${spots[0].join(' ')}L${spots[1].join(' ')}`} />
          <path className="scale-line" d={`M${spots[0].join(' ')}L${spots[1].join(' ')}`} />
        </>
      )}
      {spots.map(([x, y], k) => (
        // biome-ignore lint/a11y/useSemanticElements: no element of HTML is a place in a drawing
        <g
          // biome-ignore lint/suspicious/noArrayIndexKey: the ends have no name but their order
          key={k}
          className="scale-end"
          transform={`translate(${x} ${y})`}
          role="button"
          tabIndex={0}
          aria-label={`End ${k + 1} of the scale: drag it, or move it with the arrow keys`}
          {...dragging(
            view,
            ([x, y]) => put(k, toHundredth(x), toHundredth(y)),
            () => moved !== null && onMoved(moved),
          )}
          onKeyDown={(event) => {
            const step = STEPS[event.key];
            if (step === undefined) return;
            event.preventDefault();
            event.stopPropagation();
            const far = event.shiftKey ? 10 : 1;
            put(k, now[2 * k] + far * step[0], now[2 * k + 1] + far * step[1]);
            setByKeys((count) => count + 1);
          }}
        >
          <circle className="scale-grip" r={12} />
          <circle className="photo-seam" r={6} />
          <circle className="scale-ring" r={6} />
          <path className="scale-ring" d="M-3 0h6M0 -3v6" />
        </g>
      ))}
    </g>
  );
}

const toHundredth = (pixels: number): number => Math.round(100 * pixels) / 100;
