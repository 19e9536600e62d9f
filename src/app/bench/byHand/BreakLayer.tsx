import { useState } from 'react';
import { useBench, useWorkbench } from '../../workbench.ts';

interface BreakLayerProps {
  readonly toArc: (x: number) => number;
  readonly toX: (arc: number) => number;
  /** Length of the margin, mm. */
  readonly whole: number;
}

/** Shorter stretches are slips of the hand, mm. */
const LEAST = 0.5;

/** Over the unrolled margin while a break is being marked: dragged from its one end to the other. */
export function BreakLayer({ toArc, toX, whole }: BreakLayerProps) {
  const { bench } = useWorkbench();
  const tool = useBench((state) => state.tool);
  const breaks = useBench((state) => state.history.present.measure.breaks);
  const [drawn, setDrawn] = useState<readonly [number, number] | null>(null);
  if (tool !== 'break') return null;
  const arcAt = (event: { clientX: number; currentTarget: Element }): number => {
    const { left } = event.currentTarget.getBoundingClientRect();
    return Math.min(whole, Math.max(0, toArc(event.clientX - left)));
  };
  return (
    <div
      className="tool-layer"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        const at = arcAt(event);
        setDrawn([at, at]);
      }}
      onPointerMove={(event) => drawn && setDrawn([drawn[0], arcAt(event)])}
      onPointerCancel={() => setDrawn(null)}
      onPointerUp={(event) => {
        if (drawn === null) return;
        const at = arcAt(event);
        const [from, to] = [Math.min(drawn[0], at), Math.max(drawn[0], at)];
        setDrawn(null);
        if (to - from < LEAST) return;
        bench.takeUp(null);
        bench.change('measure', {
          breaks: [...breaks, [Math.round(from * 10) / 10, Math.round(to * 10) / 10]],
        });
      }}
    >
      {drawn && (
        <div
          className="break-drawn"
          style={{
            left: toX(Math.min(...drawn)),
            width: Math.abs(toX(drawn[1]) - toX(drawn[0])),
          }}
        />
      )}
      <p className="tool-hint">Drag along the break. Esc leaves it as it was.</p>
    </div>
  );
}
