import { type LengthUnit, MM_PER_UNIT } from '../../intake/types.ts';
import type { SpecimenRecord } from '../../record/schema.ts';
import type { AxisId } from '../../trace/types.ts';
import { isAutomatic } from '../state/settingsHistory.ts';
import { useBench, useWorkbench } from '../workbench.ts';

const AXES: readonly (readonly [AxisId, string])[] = [
  ['mirror', 'Best mirror'],
  ['principal', 'Principal axis'],
  ['longest', 'Greatest diameter'],
  ['tip-base', 'Placed base and tip'],
];

const UNITS: Readonly<Record<LengthUnit, string>> = {
  um: 'micrometres',
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
};

/** What a person may decide otherwise than the program did. Each change is measured at once and can be undone. */
export function Controls({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  const { trace } = useBench((state) => state.history.present);
  return (
    // Who comes near is about to change something.
    <section
      className="controls"
      aria-label="Axis, unit, faces and ends"
      onPointerEnter={bench.prepare}
      onFocus={bench.prepare}
    >
      <label>
        <span>Length axis</span>
        <select
          value={trace.axis}
          onChange={({ currentTarget }) => bench.change('trace', { axis: currentTarget.value as AxisId })}
        >
          {AXES.map(([id, name]) => (
            <option key={id} value={id} disabled={id === 'tip-base' && trace.tip === undefined}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <UnitChoice record={record} />
      {record.source.kind === 'scan' && (
        <button
          type="button"
          className="button"
          aria-pressed={trace.flipFace}
          onClick={() => bench.change('trace', { flipFace: !trace.flipFace })}
        >
          Swap faces
        </button>
      )}
      <button
        type="button"
        className="button"
        aria-pressed={trace.flipTip}
        onClick={() => bench.change('trace', { flipTip: !trace.flipTip })}
      >
        Swap ends
      </button>
      <HistoryButtons />
    </section>
  );
}

/** The way back, the way forth, and back to what the program chose by itself. */
export function HistoryButtons() {
  const { bench } = useWorkbench();
  const history = useBench((state) => state.history);
  return (
    <span className="controls-history">
      <button
        type="button"
        className="button"
        disabled={history.past.length === 0}
        title="Ctrl+Z"
        aria-keyshortcuts="Control+Z Meta+Z"
        onClick={() => bench.undo()}
      >
        Undo
      </button>
      <button
        type="button"
        className="button"
        disabled={history.future.length === 0}
        title="Ctrl+Shift+Z"
        aria-keyshortcuts="Control+Shift+Z Meta+Shift+Z"
        onClick={() => bench.redo()}
      >
        Redo
      </button>
      <button
        type="button"
        className="button"
        disabled={isAutomatic(history)}
        title="As the program chose it by itself; a scale that was told stays. Undo brings the changes back."
        onClick={() => bench.automatic()}
      >
        Automatic
      </button>
    </span>
  );
}

/** The unit of the file's lengths, how it was settled, and the way to confirm a guess. */
function UnitChoice({ record }: { record: SpecimenRecord }) {
  const { bench } = useWorkbench();
  // What is chosen shows at once: while the piece is measured again, the next key must not find the unit of before.
  const asked = useBench((state) => state.history.present.scan.unit);
  if (record.source.kind !== 'scan') return null;
  const { unit, scale } = record.source;
  const guessed = asked === undefined && scale.method === 'guessed';
  return (
    <span className="unit-choice" data-guessed={guessed}>
      <label>
        <span>File in</span>
        <select
          value={asked ?? unit}
          onChange={({ currentTarget }) => bench.change('scan', { unit: currentTarget.value as LengthUnit })}
        >
          {(Object.keys(MM_PER_UNIT) as LengthUnit[]).map((id) => (
            <option key={id} value={id}>
              {UNITS[id]}
            </option>
          ))}
        </select>
      </label>
      {guessed && (
        <button
          type="button"
          className="button"
          title="The file does not say its unit; it was guessed from the size of the piece."
          onClick={() => bench.change('scan', { unit })}
        >
          Confirm guess
        </button>
      )}
    </span>
  );
}
