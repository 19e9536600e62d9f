import { useMemo } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import type { Tool } from '../../state/bench.ts';
import { printNumber } from '../../words/values.ts';
import { useBench, useWorkbench } from '../../workbench.ts';
import { NumberField } from './NumberField.tsx';
import { type Stretch, suggestedBreaks } from './suggestedBreaks.ts';

/** What a trained eye may decide otherwise: the axis, breaks, what counts as a hump. Measured at once, undone with Undo. */
export function ByHand({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const { trace, measure } = useBench((state) => state.history.present);
  return (
    <section className="by-hand" aria-labelledby="by-hand-title">
      <h2 id="by-hand-title">By hand</h2>
      <fieldset>
        <legend>Length axis</legend>
        <div className="by-hand-row">
          <NumberField
            label="Turn, °"
            value={trace.nudgeAngle}
            step={0.5}
            least={-45}
            most={45}
            onSettled={(nudgeAngle) => bench.change('trace', { nudgeAngle })}
          />
          <NumberField
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
      {record.source.kind === 'scan' && (
        <fieldset>
          <legend>A hump has at least</legend>
          <div className="by-hand-row">
            <NumberField
              label="Prominence, mm"
              value={measure.humpProminence}
              step={0.1}
              least={0}
              onSettled={(humpProminence) => bench.change('measure', { humpProminence })}
            />
            <NumberField
              label="of thickness, %"
              value={100 * measure.humpShare}
              step={1}
              least={0}
              most={100}
              onSettled={(share) => bench.change('measure', { humpShare: share / 100 })}
            />
            <NumberField
              label="Area, mm²"
              value={measure.humpFootprint}
              step={1}
              least={0}
              onSettled={(humpFootprint) => bench.change('measure', { humpFootprint })}
            />
          </div>
        </fieldset>
      )}
    </section>
  );
}

function ToolButton({ tool, children }: { tool: Tool; children: string }) {
  const { bench } = useWorkbench();
  const inHand = useBench((state) => state.tool);
  return (
    <button
      type="button"
      className="button"
      aria-pressed={inHand === tool}
      onClick={() => bench.takeUp(inHand === tool ? null : tool)}
    >
      {children}
    </button>
  );
}

/** Stretches of margin that are a break: they leave the symmetry, the edge and the measures of their end. */
function Breaks({ record, breaks }: { record: SpecimenRecord; breaks: readonly Stretch[] }) {
  const { bench } = useWorkbench();
  const suggested = useMemo(() => suggestedBreaks(record), [record]);
  const whole = record.margin.at(-1)?.s ?? 0;
  const write = (next: readonly Stretch[]): void => bench.change('measure', { breaks: next });
  const put = (k: number, stretch: Stretch): void => write(breaks.map((old, i) => (i === k ? stretch : old)));
  return (
    <fieldset>
      <legend>Breaks</legend>
      {breaks.map((stretch, k) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: stretches have no name but their place in the list
        <div key={k} className="by-hand-row">
          <NumberField
            label="from, mm"
            value={stretch[0]}
            step={0.1}
            least={0}
            most={whole}
            onSettled={(from) => put(k, [from, stretch[1]])}
          />
          <NumberField
            label="to, mm"
            value={stretch[1]}
            step={0.1}
            least={0}
            most={whole}
            onSettled={(to) => put(k, [stretch[0], to])}
          />
          <button type="button" className="button" onClick={() => write(breaks.filter((_, i) => i !== k))}>
            Remove
          </button>
        </div>
      ))}
      <div className="by-hand-row">
        <ToolButton tool="break">Mark a break</ToolButton>
        {suggested.map(([from, to]) => (
          <button
            key={from}
            type="button"
            className="button"
            title="The margin runs straight across here with edge angles over 70°."
            onClick={() => write([...breaks, [from, to]])}
          >
            Break at {printNumber(from, 0)}–{printNumber(to, 0)} mm?
          </button>
        ))}
      </div>
      <p className="soft">
        {breaks.length === 0 ? 'No stretch is marked.' : ''} Drag along the unrolled margin to mark one;
        lengths run from the tip down the right side.
      </p>
    </fieldset>
  );
}
