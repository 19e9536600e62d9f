import { useLayoutEffect, useRef } from 'react';
import type { SpecimenRecord } from '../../record/schema.ts';
import { MEMORY_SHORT } from '../state/fault.ts';
import { leftOf } from '../state/pieces.ts';
import { wordsOnOlder } from '../words/older.ts';
import { type Printed, printMeasurement } from '../words/values.ts';
import { useBench, usePieces, useWorkbench } from '../workbench.ts';
import { Controls } from './Controls.tsx';
import { MemoryWays } from './MemoryWays.tsx';
import { ProgressLine } from './Waiting.tsx';

/** The numbers that a colleague would ask for first. */
const MAIN: readonly (readonly [id: string, name: string])[] = [
  ['length', 'Length'],
  ['width', 'Width'],
  ['thickness', 'Thickness'],
  ['width.thickness', 'Width / thickness'],
  ['edge.angle.mean', 'Mean edge angle'],
  ['humps.count', 'Humps'],
];

export function Heading() {
  const laid = useBench((state) => state.piece);
  // What it is called may be written anew while it lies there.
  const kept = usePieces(({ pieces }) => pieces.find(({ id }) => id === laid?.id));
  const piece = kept ?? laid;
  const measured = useBench((state) => state.measured);
  const phase = useBench((state) => state.phase);
  const fault = useBench((state) => state.fault);
  const checking = useBench((state) => state.handCheck !== null);
  const photograph = useBench((state) => state.photograph);
  const changed = useBench((state) => state.settled !== state.history);
  const left = piece !== null && fault !== null ? leftOf({ ...piece, fault }) : undefined;
  const { bench } = useWorkbench();
  const check = useRef<HTMLButtonElement>(null);
  const checked = useRef(checking);
  // What led into the hand check has the keys again once it is left.
  useLayoutEffect(() => {
    if (checked.current && !checking) check.current?.focus({ preventScroll: true });
    checked.current = checking;
  }, [checking]);
  if (piece === null) return null;
  // Of a scan, whose button has its place before there is anything to check.
  const checkable = measured === null ? photograph === null : measured.record.source.kind === 'scan';
  const working = (measured ?? photograph) !== null && phase === 'working';
  return (
    <header className="heading">
      <div className="heading-name">
        <h1>
          {piece.number !== '' && <span className="heading-number">{piece.number} </span>}
          {piece.title}
        </h1>
        <div className="heading-aside" data-working={working}>
          <p className="soft heading-look">{piece.look || piece.fileName}</p>
          {working && <ProgressLine />}
        </div>
        {checkable && !checking && (
          <button
            ref={check}
            type="button"
            className="button heading-check"
            disabled={measured === null}
            title="Measure by hand first; what was computed is hidden until you ask for it."
            onClick={() => bench.checkByHand(true)}
          >
            Hand check
          </button>
        )}
      </div>
      {!measured && phase === 'working' && <Reserved />}
      {measured && !checking && <MainNumbers record={measured.record} />}
      {measured && !checking && <Controls record={measured.record} />}
      {measured && phase === 'failed' && fault && (
        <div className="heading-fault" role="alert">
          <p>
            <strong>{fault.what}</strong>{' '}
            {changed
              ? 'The numbers below belong to the settings before.'
              : left !== undefined
                ? wordsOnOlder(left.record)
                : 'The numbers below were measured before and kept.'}
          </p>
          {fault.code === MEMORY_SHORT && (
            <MemoryWays
              thinTo={fault.thinTo}
              onThin={(thin) => bench.change('scan', { thin })}
              onWhole={() => bench.tryWhole()}
            />
          )}
          {changed && (
            <button type="button" className="button" onClick={() => bench.undo()}>
              Undo the change
            </button>
          )}
        </div>
      )}
    </header>
  );
}

/** Keeps the place of the numbers and of what is chosen below them, so that nothing moves when they come. */
function Reserved() {
  return (
    <div className="heading-reserved" aria-hidden="true">
      <dl className="main-numbers">
        {MAIN.map(([id, name]) => (
          <div key={id}>
            <dt>{name}</dt>
            <dd>
              <span className="main-value">00.00</span>
              <span className="main-u">± 0.00</span>
            </dd>
          </div>
        ))}
      </dl>
      <div className="controls">
        <button type="button" className="button">
          Undo
        </button>
      </div>
    </div>
  );
}

function MainNumbers({ record }: { record: SpecimenRecord }) {
  const shown = MAIN.flatMap(([id, name]): (readonly [string, string, Printed])[] => {
    const measurement = record.measurements.find((candidate) => candidate.id === id);
    const printed = measurement && printMeasurement(measurement);
    return printed ? [[id, name, printed]] : [];
  });
  return (
    <dl className="main-numbers">
      {shown.map(([id, name, printed]) => (
        <div key={id}>
          <dt>{name}</dt>
          <dd>
            <span className="main-value">{printed.value}</span>
            {printed.unit !== '' && (
              <span className={printed.unit === '°' ? 'main-degrees' : 'main-unit'}>{printed.unit}</span>
            )}
            {printed.u !== '' && <span className="main-u">± {printed.u}</span>}
          </dd>
        </div>
      ))}
    </dl>
  );
}
