import { useEffect, useState } from 'react';
import type { LeftOut } from '../../../measures/types.ts';
import type { SpecimenRecord } from '../../../record/schema.ts';
import { useWorkbench } from '../../workbench.ts';
import { StretchEnds } from './StretchEnds.tsx';
import { leaveOut, REASONS } from './stretchTools.ts';
import { ToolButton } from './ToolButton.tsx';

interface LeftOutStretchesProps {
  readonly record: SpecimenRecord;
  readonly excluded: readonly LeftOut[];
}

/** Stretches of margin that say nothing of the piece as it was made: they leave the edge, and stay in outline and symmetry. */
export function LeftOutStretches({ record, excluded }: LeftOutStretchesProps) {
  const { bench } = useWorkbench();
  const whole = record.margin.at(-1)?.s ?? 0;
  const write = (next: readonly LeftOut[]): void => bench.change('measure', leaveOut(next));
  const put = (k: number, facts: Partial<LeftOut>): void =>
    write(excluded.map((old, i) => (i === k ? { ...old, ...facts } : old)));
  return (
    <fieldset>
      <legend>Margin left out</legend>
      {excluded.map(({ from, to, reason }, k) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: stretches have no name but their place in the list
        <div key={k} className="by-hand-row">
          <StretchEnds
            from={from}
            to={to}
            whole={whole}
            onSettled={(start, end) => put(k, { from: start, to: end })}
          />
          <ReasonField reason={reason} onSettled={(words) => put(k, { reason: words })} />
          <button type="button" className="button" onClick={() => write(excluded.filter((_, i) => i !== k))}>
            Remove
          </button>
        </div>
      ))}
      <div className="by-hand-row">
        <ToolButton tool="exclude">Leave out a stretch</ToolButton>
      </div>
      <p className="soft">
        {excluded.length === 0 ? 'Nothing is left out.' : ''} Edge angles and the margin line are measured
        without it, modern damage for example; outline and symmetry keep it. It is marked as a break is.
      </p>
    </fieldset>
  );
}

/** Why, in words. Taken over when the field is left, or with Enter; without words it stays as it was. */
function ReasonField({ reason, onSettled }: { reason: string; onSettled: (reason: string) => void }) {
  const [typed, setTyped] = useState(reason);
  useEffect(() => setTyped(reason), [reason]);
  const settle = (): void => {
    const words = typed.trim();
    if (words === '') setTyped(reason);
    else if (words !== reason) onSettled(words);
  };
  return (
    <label className="number-field reason-field">
      <span>why</span>
      <input
        value={typed}
        maxLength={200}
        list="reasons-left-out"
        onChange={({ currentTarget }) => setTyped(currentTarget.value)}
        onBlur={settle}
        onKeyDown={({ key }) => key === 'Enter' && settle()}
      />
      <datalist id="reasons-left-out">
        {REASONS.map((one) => (
          <option key={one} value={one} />
        ))}
      </datalist>
    </label>
  );
}
