import { useId, useMemo, useRef } from 'react';
import { isNarrowed, SORTS, type SortId, wordsIn } from '../state/finding.ts';
import type { Piece } from '../state/pieces.ts';
import { useFinding, useWorkbench } from '../workbench.ts';

const SORT_NAMES: Readonly<Record<SortId, string>> = {
  opened: 'Order opened',
  name: 'Title',
  number: 'Catalogue number',
  length: 'Length',
  width: 'Width',
  thickness: 'Thickness',
  'width.thickness': 'Width / thickness',
  'edge.angle.mean': 'Mean edge angle',
  'humps.count': 'Humps',
};

/** What each direction means, small to large and the other way. */
function directionOf(sort: SortId, rising: boolean): string {
  if (sort === 'opened') return rising ? 'oldest first' : 'newest first';
  if (sort === 'name' || sort === 'number') return rising ? 'A to Z' : 'Z to A';
  return rising ? 'least first' : 'greatest first';
}

interface FindBarProps {
  readonly pieces: readonly Piece[];
  /** How many pieces fit. */
  readonly fitting: number;
}

/** In longer drawers cards far off are not there for the browser's own search: this one stays in sight. */
const LONG = 60;

/** Search, filters and order of the drawer. */
export function FindBar({ pieces, fitting }: FindBarProps) {
  const { finding } = useWorkbench();
  const asked = useFinding();
  const { sort, rising } = asked;
  const field = useRef<HTMLInputElement>(null);
  const reach = useId();
  return (
    <search className="find-bar" data-long={pieces.length > LONG}>
      <input
        ref={field}
        type="search"
        className="find-text"
        placeholder="Number, title, notes, raw material"
        aria-describedby={pieces.length > LONG ? reach : undefined}
        aria-label="Find a piece"
        value={asked.text}
        onChange={({ currentTarget }) => finding.set({ text: currentTarget.value })}
      />
      <FieldFilter pieces={pieces} field="material" label="Raw material" />
      <FieldFilter pieces={pieces} field="condition" label="Condition" />
      <FieldFilter pieces={pieces} field="collection" label="Collection" />
      <label>
        <span>Warnings</span>
        <select
          value={asked.warnings}
          onChange={({ currentTarget }) =>
            finding.set({ warnings: currentTarget.value as typeof asked.warnings })
          }
        >
          <option value="">any</option>
          <option value="with">with warnings</option>
          <option value="without">without</option>
        </select>
      </label>
      <span className="find-order">
        <label>
          <span>Order by</span>
          <select
            value={sort}
            onChange={({ currentTarget }) => finding.set({ sort: currentTarget.value as SortId })}
          >
            {SORTS.map((id) => (
              <option key={id} value={id}>
                {SORT_NAMES[id]}
              </option>
            ))}
          </select>
        </label>
        <button
          type="button"
          className="button"
          aria-label={`Order: ${directionOf(sort, rising)}. Turn round`}
          onClick={() => finding.set({ rising: !rising })}
        >
          {rising ? '↑' : '↓'} {directionOf(sort, rising)}
        </button>
      </span>
      {pieces.length > LONG && (
        <p id={reach} className="find-reach soft">
          This finds any of them; the browser’s own search only sees cards near by.
        </p>
      )}
      <p className="find-count soft" role="status">
        {isNarrowed(asked) ? `${fitting} of ${pieces.length} pieces` : `${pieces.length} pieces`}
      </p>
      {isNarrowed(asked) && (
        <button
          type="button"
          className="button"
          onClick={() => {
            finding.clear();
            field.current?.focus();
          }}
        >
          Show all
        </button>
      )}
    </search>
  );
}

interface FieldFilterProps {
  readonly pieces: readonly Piece[];
  readonly field: 'material' | 'condition' | 'collection';
  readonly label: string;
}

/** Offers the words that pieces have; nothing where none has one. */
function FieldFilter({ pieces, field, label }: FieldFilterProps) {
  const { finding } = useWorkbench();
  const value = useFinding()[field];
  const words = useMemo(() => wordsIn(pieces, field), [pieces, field]);
  if (words.length === 0 && value === '') return null;
  return (
    <label>
      <span>{label}</span>
      <select value={value} onChange={({ currentTarget }) => finding.set({ [field]: currentTarget.value })}>
        <option value="">any</option>
        {(words.includes(value) || value === '' ? words : [value, ...words]).map((word) => (
          <option key={word} value={word}>
            {word}
          </option>
        ))}
      </select>
    </label>
  );
}
