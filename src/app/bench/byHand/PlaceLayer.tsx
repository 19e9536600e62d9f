import type { SpecimenRecord } from '../../../record/schema.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import type { SheetLayout } from '../sheet/layout.ts';
import { toScanPoint } from './scanPoint.ts';

interface PlaceLayerProps {
  readonly record: SpecimenRecord;
  readonly layout: SheetLayout;
  readonly face: 'A' | 'B';
}

/** Over the plan while the base or the tip is being placed: the next click is the place. */
export function PlaceLayer({ record, layout, face }: PlaceLayerProps) {
  const { bench } = useWorkbench();
  const tool = useBench((state) => state.tool);
  const trace = useBench((state) => state.history.present.trace);
  if (tool !== 'base' && tool !== 'tip') return null;
  return (
    <div
      className="tool-layer"
      onPointerDown={(event) => {
        const { left, top } = event.currentTarget.getBoundingClientRect();
        const across = (event.clientX - left - layout.planX) / layout.scale;
        const y = (layout.bottom - (event.clientY - top)) / layout.scale;
        const placed = toScanPoint(record, face === 'A' ? across : -across, y);
        const base = trace.base ?? toScanPoint(record, 0, 0);
        const tip = trace.tip ?? toScanPoint(record, 0, record.frame.length);
        bench.takeUp(null);
        bench.change('trace', { axis: 'tip-base', base, tip, [tool]: placed });
      }}
    >
      <p className="tool-hint">Click where the {tool} is. Esc leaves it as it was.</p>
    </div>
  );
}
