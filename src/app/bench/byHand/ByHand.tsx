import type { SpecimenRecord } from '../../../record/schema.ts';
import { NumberBox } from '../../frame/NumberBox.tsx';
import { useBench, useWorkbench } from '../../workbench.ts';
import { Breaks } from './Breaks.tsx';
import { LeftOutStretches } from './LeftOutStretches.tsx';
import { ToolButton } from './ToolButton.tsx';

/** What a trained eye may decide otherwise: the axis, breaks, what counts as a hump. Measured at once, undone with Undo. */
export function ByHand({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const { trace, measure } = useBench((state) => state.history.present);
  return (
    <section
      className="by-hand"
      aria-labelledby="by-hand-title"
      onPointerEnter={bench.prepare}
      onFocus={bench.prepare}
    >
      <h2 id="by-hand-title">By hand</h2>
      <fieldset>
        <legend>Length axis</legend>
        <div className="by-hand-row">
          <NumberBox
            pause={350}
            label="Turn, °"
            value={trace.nudgeAngle}
            step={0.5}
            least={-45}
            most={45}
            onSettled={(nudgeAngle) => bench.change('trace', { nudgeAngle })}
          />
          <NumberBox
            pause={350}
            label="Shift, mm"
            value={trace.nudgeShift}
            step={0.1}
            onSettled={(nudgeShift) => bench.change('trace', { nudgeShift })}
          />
        </div>
        <div className="by-hand-row">
          <ToolButton tool="base">Place the base</ToolButton>
          <ToolButton tool="tip">Place the tip</ToolButton>
        </div>
        <p className="soft">
          Arrow keys in the fields nudge the axis. A placed base or tip is clicked on the plan, and the axis
          then runs from base to tip.
        </p>
      </fieldset>
      {record.margin.length > 0 && <Breaks record={record} breaks={measure.breaks} />}
      {record.margin.length > 0 && <LeftOutStretches record={record} excluded={measure.excluded ?? []} />}
      {record.source.kind === 'scan' && (
        <fieldset>
          <legend>A hump has at least</legend>
          <div className="by-hand-row">
            <NumberBox
              pause={350}
              label="Prominence, mm"
              value={measure.humpProminence}
              step={0.1}
              least={0}
              onSettled={(humpProminence) => bench.change('measure', { humpProminence })}
            />
            <NumberBox
              pause={350}
              label="of thickness, %"
              value={100 * measure.humpShare}
              step={1}
              least={0}
              most={100}
              onSettled={(share) => bench.change('measure', { humpShare: share / 100 })}
            />
            <NumberBox
              pause={350}
              label="of scar relief, ×"
              value={measure.humpRelief}
              step={1}
              least={0}
              onSettled={(humpRelief) => bench.change('measure', { humpRelief })}
            />
            <NumberBox
              pause={350}
              label="Area, mm²"
              value={measure.humpFootprint}
              step={1}
              least={0}
              onSettled={(humpFootprint) => bench.change('measure', { humpFootprint })}
            />
          </div>
          <p className="soft">
            Scar relief is how far the face, humps left out, lies off its reference: scars that meet leave
            lumps that thinning did not. At 0 these count too.
          </p>
        </fieldset>
      )}
    </section>
  );
}
