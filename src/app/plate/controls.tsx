import { type ComponentProps, useEffect, useId, useState } from 'react';
import { Select } from '../frame/Select.tsx';
import { stationsSaid } from '../words/stationsSaid.ts';

/** One of a few, on a line of the plate's settings. */
export function Choice<T extends string>(props: Omit<ComponentProps<typeof Select<T>>, 'className'>) {
  return <Select {...props} className="plate-line" />;
}

interface CheckProps {
  readonly label: string;
  readonly on: boolean;
  readonly onSet: (on: boolean) => void;
}

export function Check({ label, on, onSet }: CheckProps) {
  return (
    <label className="plate-check">
      <input type="checkbox" checked={on} onChange={({ currentTarget }) => onSet(currentTarget.checked)} />
      {label}
    </label>
  );
}

interface StationsProps {
  readonly value: readonly number[];
  readonly onSettled: (value: readonly number[]) => void;
}

/** Percentages parted by commas, semicolons or spaces, taken over when the field is left or Enter is pressed. */
export function Stations({ value, onSettled }: StationsProps) {
  const shown = value.join(', ');
  const [typed, setTyped] = useState(shown);
  const hint = useId();
  useEffect(() => setTyped(shown), [shown]);
  const said = typed === shown ? undefined : stationsSaid(typed);
  const settle = (): void => {
    if (said?.kind === 'stations' && said.stations.join(', ') !== shown) onSettled(said.stations);
  };
  return (
    <>
      <label className="plate-line">
        <span>Stations</span>
        <input
          type="text"
          inputMode="decimal"
          value={typed}
          aria-invalid={said?.kind === 'amiss'}
          aria-describedby={hint}
          onChange={({ currentTarget }) => setTyped(currentTarget.value)}
          onBlur={settle}
          onKeyDown={({ key }) => key === 'Enter' && settle()}
        />
      </label>
      <p id={hint} className={said?.kind === 'amiss' ? 'plate-fault' : 'soft'}>
        {said?.kind === 'amiss' ? said.why : 'Percent of length from the base.'}
      </p>
    </>
  );
}
