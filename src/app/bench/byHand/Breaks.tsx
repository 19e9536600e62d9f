import { useMemo } from 'react';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { printNumber } from '../../words/values.ts';
import { useWorkbench } from '../../workbench.ts';
import { StretchEnds } from './StretchEnds.tsx';
import { type Stretch, suggestedBreaks } from './suggestedBreaks.ts';
import { ToolButton } from './ToolButton.tsx';

/** Stretches of margin that are a break: they leave the symmetry, the edge and the measures of their end. */
export function Breaks({ record, breaks }: { record: SpecimenRecord; breaks: readonly Stretch[] }) {
  const { bench } = useWorkbench();
  const suggested = useMemo(() => suggestedBreaks(record), [record]);
  const whole = record.margin.at(-1)?.s ?? 0;
  const write = (next: readonly Stretch[]): void => bench.change('measure', { breaks: next });
  return (
    <fieldset>
      <legend>Breaks</legend>
      {breaks.map((stretch, k) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: stretches have no name but their place in the list
        <div key={k} className="by-hand-row">
          <StretchEnds
            from={stretch[0]}
            to={stretch[1]}
            whole={whole}
            onSettled={(from, to) => write(breaks.map((old, i) => (i === k ? [from, to] : old)))}
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
            title="The margin runs straight across here, with steep edges and a corner at either end."
            onClick={() => write([...breaks, [from, to]])}
          >
            Break at {printNumber(from, 0)}–{printNumber(to, 0)} mm?
          </button>
        ))}
      </div>
      <p className="soft">
        {breaks.length === 0 ? 'No stretch is marked.' : ''} Drag along the unrolled margin to mark one, or
        use its keys; lengths run from the tip down the right side.
      </p>
    </fieldset>
  );
}
