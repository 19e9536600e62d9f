import { type ComponentProps, useEffect, useId, useState } from 'react';
import { Select } from '../frame/Select.tsx';

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

/** Percentages parted by commas or spaces, taken over when the field is left or Enter is pressed. */
export function Stations({ value, onSettled }: StationsProps) {
  const shown = value.join(', ');
  const [typed, setTyped] = useState(shown);
  const hint = useId();
  useEffect(() => setTyped(shown), [shown]);
  const read = readStations(typed);
  const settle = (): void => {
    if (read !== undefined && read.join(', ') !== shown) onSettled(read);
  };
  return (
    <>
      <label className="plate-line">
        <span>Stations</span>
        <input
          type="text"
          inputMode="decimal"
          value={typed}
          aria-invalid={read === undefined}
          aria-describedby={hint}
          onChange={({ currentTarget }) => setTyped(currentTarget.value)}
          onBlur={settle}
          onKeyDown={({ key }) => key === 'Enter' && settle()}
        />
      </label>
      <p id={hint} className={read === undefined ? 'plate-fault' : 'soft'}>
        {read === undefined
          ? 'Percentages above 0 and below 100, each once, such as 25, 50, 75.'
          : 'Percent of length from the base.'}
      </p>
    </>
  );
}

/** Rising; undefined for what is no list of different percentages. */
export function readStations(text: string): readonly number[] | undefined {
  const words = text.split(/[\s,;]+/).filter((word) => word !== '');
  const numbers = words.map(Number);
  const sound = numbers.every((n) => n > 0 && n < 100) && new Set(numbers).size === numbers.length;
  return sound && numbers.length <= 50 ? numbers.sort((a, b) => a - b) : undefined;
}
