import { useEffect, useState } from 'react';

interface NumberFieldProps {
  readonly label: string;
  readonly value: number;
  readonly step: number;
  readonly least?: number;
  readonly most?: number;
  readonly onSettled: (value: number) => void;
}

/** How long typing may pause before a number counts as said, ms. */
const PAUSE = 350;

/** A number with its steps on the arrow keys. What is no number, or out of bounds, is not taken over. */
export function NumberField({ label, value, step, least, most, onSettled }: NumberFieldProps) {
  const [typed, setTyped] = useState(shown(value));
  useEffect(() => setTyped(shown(value)), [value]);
  useEffect(() => {
    const said = Number(typed);
    if (typed.trim() === '' || !Number.isFinite(said) || typed === shown(value)) return;
    if (said < (least ?? -Infinity) || said > (most ?? Infinity)) return;
    const timer = setTimeout(() => onSettled(said), PAUSE);
    return () => clearTimeout(timer);
  }, [typed, value, least, most, onSettled]);
  return (
    <label className="number-field">
      <span>{label}</span>
      <input
        type="number"
        value={typed}
        step={step}
        min={least}
        max={most}
        onChange={({ currentTarget }) => setTyped(currentTarget.value)}
        onBlur={() =>
          setTyped((text) => (Number.isFinite(Number(text)) && text !== '' ? text : shown(value)))
        }
      />
    </label>
  );
}

function shown(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}
