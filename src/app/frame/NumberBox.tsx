import { type KeyboardEvent, useEffect, useId, useRef, useState } from 'react';
import { type NumberBounds, numberSaid } from '../words/numberSaid.ts';

interface NumberBoxProps extends NumberBounds {
  readonly label: string;
  /** The label is for those who hear the page: what stands beside the box says the same to those who see it. */
  readonly labelUnseen?: boolean;
  /** Undefined: nothing was said. */
  readonly value: number | undefined;
  /** What arrow keys and the two buttons add and take away; without it there are none. */
  readonly step?: number;
  /** Takes the cursor as soon as this turns true. */
  readonly autoFocus?: boolean;
  /** How long typing may pause before a number counts as said, ms. */
  readonly pause?: number;
  readonly onSettled: (value: number) => void;
  /** It may be emptied; without this a number must stand in it. */
  readonly onEmptied?: () => void;
}

/**
 * A box for a number. It is said by Enter, by leaving the box, or by a pause. What is no number, or out of bounds, is
 * not taken over: it is said why, and what was there stays.
 */
export function NumberBox(props: NumberBoxProps) {
  const { label, labelUnseen = false, value, step, autoFocus = false, pause = 700 } = props;
  const { onSettled, onEmptied } = props;
  const [typed, setTyped] = useState(shown(value));
  const [why, setWhy] = useState('');
  const input = useRef<HTMLInputElement>(null);
  const id = useId();
  useEffect(() => setTyped(shown(value)), [value]);
  useEffect(() => {
    if (autoFocus) input.current?.focus();
  }, [autoFocus]);
  /** Takes over what is typed. Left for good, a box that says nothing of use goes back to what was there. */
  const settle = (leaving: boolean): void => {
    // What was said stands there rounded: it is not said anew by being looked at.
    if (typed === shown(value)) return;
    const said = numberSaid(typed, props);
    const missing = said.kind === 'nothing' && onEmptied === undefined;
    if (said.kind === 'amiss') setWhy(`${said.why} ${stays(value)}`);
    else if (missing && leaving) setWhy(`A number is needed here. ${stays(value)}`);
    if (leaving && (missing || said.kind === 'amiss')) setTyped(shown(value));
    if (missing || said.kind === 'amiss') return;
    if (said.kind === 'nothing') onEmptied?.();
    else if (said.number !== value) onSettled(said.number);
    // As numbers are written here: 12,50 becomes 12.5.
    setTyped(said.kind === 'nothing' ? '' : shown(said.number));
  };
  const latest = useRef(settle);
  latest.current = settle;
  useEffect(() => {
    if (typed === shown(value)) return;
    const timer = setTimeout(() => latest.current(false), pause);
    return () => clearTimeout(timer);
  }, [typed, value, pause]);
  const write = (text: string): void => {
    setTyped(text);
    setWhy('');
  };
  const stepBy = (steps: number): void => {
    const said = numberSaid(typed, {});
    const from = said.kind === 'number' ? said.number : (value ?? 0);
    const to = from + steps * (step ?? 0);
    write(shown(Math.min(props.most ?? Infinity, Math.max(props.least ?? -Infinity, to))));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === 'Enter') settle(false);
    const steps = event.key === 'ArrowUp' ? 1 : event.key === 'ArrowDown' ? -1 : 0;
    if (steps === 0 || step === undefined) return;
    event.preventDefault();
    stepBy(steps);
  };
  const spin =
    step === undefined
      ? {}
      : ({
          role: 'spinbutton',
          'aria-valuenow': value,
          'aria-valuemin': props.least,
          'aria-valuemax': props.most,
        } as const);
  return (
    <div className="number-field">
      <label htmlFor={id} className={labelUnseen ? 'unseen' : undefined}>
        {label}
      </label>
      <span className="number-box">
        <input
          {...spin}
          ref={input}
          id={id}
          type="text"
          inputMode={(props.least ?? props.above ?? -1) < 0 ? undefined : 'decimal'}
          autoComplete="off"
          value={typed}
          aria-invalid={why !== '' && typed !== shown(value)}
          aria-describedby={`${id}-why`}
          onChange={({ currentTarget }) => write(currentTarget.value)}
          onBlur={() => settle(true)}
          onKeyDown={onKeyDown}
        />
        {step !== undefined &&
          // Keys have the arrows.
          ([-1, 1] as const).map((steps) => (
            <button key={steps} type="button" tabIndex={-1} aria-hidden="true" onClick={() => stepBy(steps)}>
              {steps < 0 ? '\u2212' : '+'}
            </button>
          ))}
      </span>
      <p id={`${id}-why`} className="number-why" role="status">
        {why}
      </p>
    </div>
  );
}

function stays(value: number | undefined): string {
  return value === undefined ? 'Nothing was taken over.' : `${shown(value)} stays.`;
}

function shown(value: number | undefined): string {
  return value === undefined ? '' : String(Math.round(value * 1e4) / 1e4);
}
