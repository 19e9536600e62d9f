import { type KeyboardEvent, useRef, useState } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import type { SheetLayout } from '../sheet/layout.ts';
import { toScanPoint } from './scanPoint.ts';
import { useTakenUp } from './useTakenUp.ts';

interface PlaceLayerProps {
  readonly record: SpecimenRecord;
  readonly layout: SheetLayout;
  readonly face: 'A' | 'B';
}

/** Over the plan while the base or the tip is being placed: the next click, or Enter at the cross, is the place. */
export function PlaceLayer(props: PlaceLayerProps) {
  const tool = useBench((state) => state.tool);
  if (tool !== 'base' && tool !== 'tip') return null;
  return <Placing key={tool} tool={tool} {...props} />;
}

/** What to do while an end is being placed. It stands beside the plan's own tools, where it hides nothing of the plan. */
export function PlaceHint() {
  const tool = useBench((state) => state.tool);
  if (tool !== 'base' && tool !== 'tip') return null;
  return <p className="tool-hint">Click the {tool}, or arrow keys and Enter. Esc leaves it as it was.</p>;
}

/** Of an arrow key, mm; with Shift ten times that. */
const STEP = 0.5;
const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

function Placing({ tool, record, layout, face }: PlaceLayerProps & { tool: 'base' | 'tip' }) {
  const { bench } = useWorkbench();
  const trace = useBench((state) => state.history.present.trace);
  const layer = useRef<HTMLDivElement>(null);
  const { length } = record.frame;
  /** Where the cross stands: mm to the right on the drawing, and up from the base. */
  const [cross, setCross] = useState<readonly [number, number]>([0, tool === 'tip' ? length : 0]);
  useTakenUp(layer);

  const place = (across: number, y: number): void => {
    const placed = toScanPoint(record, face === 'A' ? across : -across, y);
    const base = trace.base ?? toScanPoint(record, 0, 0);
    const tip = trace.tip ?? toScanPoint(record, 0, length);
    bench.takeUp(null);
    bench.change('trace', { axis: 'tip-base', base, tip, [tool]: placed });
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    const way = WAYS[event.key];
    if (way !== undefined) {
      const step = STEP * (event.shiftKey ? 10 : 1);
      setCross(([x, y]) => [x + step * way[0], y + step * way[1]]);
    } else if (event.key === 'Enter') place(...cross);
    else return;
    event.preventDefault();
  };
  const [px, py] = [layout.planX + cross[0] * layout.scale, layout.toY(cross[1])];
  return (
    <div
      ref={layer}
      className="tool-layer"
      role="application"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: the cross is moved with keys
      tabIndex={0}
      aria-label={`Place of the ${tool}: arrow keys move the cross, Enter sets it`}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        const { left, top } = event.currentTarget.getBoundingClientRect();
        const across = (event.clientX - left - layout.planX) / layout.scale;
        place(across, (layout.bottom - (event.clientY - top)) / layout.scale);
      }}
    >
      <svg className="place-cross" width={layout.width} height={layout.height} aria-hidden="true">
        <path d={`M${px - 10} ${py}h20M${px} ${py - 10}v20`} />
      </svg>
    </div>
  );
}
