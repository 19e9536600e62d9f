import { useEffect, useRef, useState } from 'react';

interface LengthFieldProps {
  readonly label: string;
  /** Undefined: not told. */
  readonly value: number | undefined;
  /** Takes the cursor as soon as this turns true. */
  readonly autoFocus?: boolean;
  readonly onSettled: (value: number | undefined) => void;
}

/** How long typing may pause before a number counts as said, ms: "50" is not meant as 5. */
const PAUSE = 700;

/** A number above 0 that may be left out. Said by Enter, by leaving the field, or by a pause. */
export function LengthField({ label, value, autoFocus = false, onSettled }: LengthFieldProps) {
  const [typed, setTyped] = useState(shown(value));
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => setTyped(shown(value)), [value]);
  useEffect(() => {
    if (autoFocus) input.current?.focus();
  }, [autoFocus]);
  const said = typed.trim() === '' ? undefined : Number(typed);
  const fits = said === undefined || (Number.isFinite(said) && said > 0);
  const settle = (): void => {
    if (fits && said !== value) onSettled(said);
    else if (!fits) setTyped(shown(value));
  };
  const latest = useRef(settle);
  latest.current = settle;
  useEffect(() => {
    if (typed === shown(value)) return;
    const timer = setTimeout(() => latest.current(), PAUSE);
    return () => clearTimeout(timer);
  }, [typed, value]);
  return (
    <label className="number-field">
      <span>{label}</span>
      <input
        ref={input}
        type="number"
        min={0}
        step="any"
        value={typed}
        onChange={({ currentTarget }) => setTyped(currentTarget.value)}
        onBlur={settle}
        onKeyDown={({ key }) => key === 'Enter' && settle()}
      />
    </label>
  );
}

function shown(value: number | undefined): string {
  return value === undefined ? '' : String(Math.round(value * 1e4) / 1e4);
}
