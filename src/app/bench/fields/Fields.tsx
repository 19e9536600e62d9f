import { type ReactNode, useEffect, useRef, useState } from 'react';
import type { Catalogue } from '../../../record/schema.ts';
import { NumberBox } from '../../frame/NumberBox.tsx';
import type { Piece } from '../../state/pieces.ts';
import { usePieces, useWorkbench } from '../../workbench.ts';
import { HandReadingsTable } from './HandReadingsTable.tsx';

/** A field set to undefined is emptied. */
type Asked = { readonly [K in keyof Catalogue]: Catalogue[K] | undefined };

type Choice<K extends keyof Catalogue> = readonly (readonly [NonNullable<Catalogue[K]>, string])[];

const BLANKS: Choice<'blank'> = [
  ['flake', 'flake'],
  ['tabular', 'tabular piece'],
  ['cobble', 'cobble'],
  ['unknown', 'unknown'],
];
const HEATS: Choice<'heat'> = [
  ['none', 'none seen'],
  ['altered', 'altered'],
  ['unknown', 'unknown'],
];
const CONDITIONS: Choice<'condition'> = [
  ['complete', 'complete'],
  ['snapped', 'snapped'],
  ['chipped', 'chipped'],
];
const PARTS: Choice<'survives'> = [
  ['tip', 'tip'],
  ['mid', 'mid'],
  ['base', 'base'],
];

/** How long typing may pause before words count as written, ms. */
const PAUSE = 700;

/** What an analyst records of a piece beside what is measured, and what was read off a caliper. */
export function Fields({ id }: { id: string }) {
  const piece = usePieces(({ pieces }) => pieces.find((candidate) => candidate.id === id));
  const { pieces } = useWorkbench();
  if (piece === undefined) return null;
  const { catalogue } = piece;
  const write = (asked: Asked): void =>
    pieces.edit(id, { catalogue: withoutBlanks({ ...catalogue, ...asked }) });
  return (
    <section className="fields" aria-labelledby="fields-title">
      <h2 id="fields-title">Description</h2>
      <div className="fields-grid">
        <Line label="Title">
          <Text value={piece.title} onSettled={(title) => title && pieces.edit(id, { title })} />
        </Line>
        <Line label="Catalogue number">
          <Text value={catalogue.number} onSettled={(number) => write({ number })} />
        </Line>
        <Line label="Collection">
          <Text value={catalogue.collection} onSettled={(collection) => write({ collection })} />
        </Line>
        <Line label="Raw material">
          <Text value={catalogue.material} onSettled={(material) => write({ material })} />
        </Line>
        <Line label="Blank">
          <Pick value={catalogue.blank} choices={BLANKS} onPick={(blank) => write({ blank })} />
        </Line>
        <Line label="Condition">
          <Pick
            value={catalogue.condition}
            choices={CONDITIONS}
            onPick={(condition) =>
              write({ condition, ...(condition === 'snapped' ? {} : { survives: undefined }) })
            }
          />
        </Line>
        {catalogue.condition === 'snapped' && (
          <Line label="Part that survives">
            <Pick value={catalogue.survives} choices={PARTS} onPick={(survives) => write({ survives })} />
          </Line>
        )}
        <Share
          label="Cortex on Face A, %"
          value={catalogue.cortexA}
          onSettled={(cortexA) => write({ cortexA })}
        />
        <Share
          label="Cortex on Face B, %"
          value={catalogue.cortexB}
          onSettled={(cortexB) => write({ cortexB })}
        />
        <Line label="Heat alteration">
          <Pick value={catalogue.heat} choices={HEATS} onPick={(heat) => write({ heat })} />
        </Line>
        <Line label="Observer">
          <Text value={catalogue.observer} onSettled={(observer) => write({ observer })} />
        </Line>
        <Line label="Occasion, of repeated measuring">
          <Text value={catalogue.occasion} onSettled={(occasion) => write({ occasion })} />
        </Line>
        <Line label="Find-spot (stays out of exports)">
          <Text value={catalogue.findSpot} onSettled={(findSpot) => write({ findSpot })} />
        </Line>
        <Line label="Notes">
          <Text name="notes" rows={3} value={catalogue.notes} onSettled={(notes) => write({ notes })} />
        </Line>
      </div>
      <HandReadingsTable piece={piece as Piece} />
    </section>
  );
}

function Line({ label, children }: { label: string; children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noLabelWithoutControl: the control is the child
    <label className="fields-line">
      <span>{label}</span>
      {children}
    </label>
  );
}

interface TextProps {
  readonly value: string | undefined;
  readonly onSettled: (value: string | undefined) => void;
  readonly name?: string;
  readonly rows?: number;
}

/** A line of text that is taken over when it is left, so that a half-typed word is never kept. */
function Text({ value = '', onSettled, name, rows }: TextProps) {
  const [typed, setTyped] = useState(value);
  // What is kept of what is being typed lacks the space before the next word.
  useEffect(() => setTyped((before) => (before.trim() === value ? before : value)), [value]);
  const settle = (): void => {
    const said = typed.trim();
    if (said !== value) onSettled(said === '' ? undefined : said);
  };
  const latest = useRef(settle);
  latest.current = settle;
  // Nothing is shown as kept that a crash could take: a pause keeps what was typed, as leaving the field does.
  useEffect(() => {
    if (typed.trim() === '' || typed.trim() === value) return;
    const timer = setTimeout(() => latest.current(), PAUSE);
    return () => clearTimeout(timer);
  }, [typed, value]);
  return rows === undefined ? (
    <input
      type="text"
      name={name}
      value={typed}
      onChange={({ currentTarget }) => setTyped(currentTarget.value)}
      onBlur={settle}
    />
  ) : (
    <textarea
      name={name}
      rows={rows}
      value={typed}
      onChange={({ currentTarget }) => setTyped(currentTarget.value)}
      onBlur={settle}
    />
  );
}

interface ShareProps {
  readonly label: string;
  readonly value: number | undefined;
  readonly onSettled: (value: number | undefined) => void;
}

function Share({ label, value, onSettled }: ShareProps) {
  return (
    <NumberBox
      label={label}
      step={5}
      least={0}
      most={100}
      value={value}
      onSettled={onSettled}
      onEmptied={() => onSettled(undefined)}
    />
  );
}

interface PickProps<T extends string> {
  readonly value: T | undefined;
  readonly choices: readonly (readonly [T, string])[];
  readonly onPick: (value: T | undefined) => void;
}

function Pick<T extends string>({ value, choices, onPick }: PickProps<T>) {
  return (
    <select
      value={value ?? ''}
      onChange={({ currentTarget }) => onPick((currentTarget.value as T) || undefined)}
    >
      <option value="">not said</option>
      {choices.map(([id, words]) => (
        <option key={id} value={id}>
          {words}
        </option>
      ))}
    </select>
  );
}

/** Fields that say nothing are no fields. */
function withoutBlanks(catalogue: Asked): Catalogue {
  return Object.fromEntries(
    Object.entries(catalogue).filter(([, value]) => value !== undefined && value !== ''),
  );
}
