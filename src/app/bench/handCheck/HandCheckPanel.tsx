import type { SpecimenRecord } from '../../../record/schema.ts';
import {
  type Comparison,
  compareReadings,
  type HandGuess,
  type HumpVerdict,
  judgeHump,
  NOTHING_READ,
} from '../../state/handCheck.ts';
import { printNumber } from '../../words/values.ts';
import { useWorkbench } from '../../workbench.ts';

const NAMES = { length: 'Length', width: 'Width', axis: 'Axis', hump: 'Hump' } as const;

interface HandCheckPanelProps {
  readonly record: SpecimenRecord;
  readonly guess: HandGuess;
}

/** Beside the desk: what to read, what was read and, once asked for, how far it lies from what was computed. */
export function HandCheckPanel({ record, guess }: HandCheckPanelProps) {
  const { bench } = useWorkbench();
  const { hump, asked } = guess;
  return (
    <section className="ledger hand-check" aria-labelledby="hand-check-title">
      <h2 id="hand-check-title">Hand check</h2>
      {asked ? (
        <p>Your readings, what was computed, and the standard uncertainty u of the computed number.</p>
      ) : (
        <ol className="hand-check-steps">
          <li>Turn the dashed axis until it runs from base to tip as you see it.</li>
          <li>Close the two cross jaws on both ends: the length.</li>
          <li>Close the two long jaws on both margins: the width.</li>
          <li>Put the mark on the tallest hump of either face, or say that there is none.</li>
          <li className="soft">Drag them, or use the arrow keys: with Shift ten times as far.</li>
        </ol>
      )}
      <table className="hand-check-table">
        <thead>
          <tr>
            <th scope="col">Reading</th>
            <th scope="col">By hand</th>
            {asked && <th scope="col">Computed</th>}
            {asked && <th scope="col">Difference</th>}
          </tr>
        </thead>
        <tbody>
          {compareReadings(record, guess).map((one) => (
            <ComparisonRow key={one.id} comparison={one} asked={asked} />
          ))}
        </tbody>
      </table>
      <p className="hand-check-hump" role="status">
        {asked ? verdictWords(judgeHump(record, hump)) : humpWords(hump)}
      </p>
      {!asked && (
        <label className="hand-check-none">
          <input
            type="checkbox"
            checked={hump === 'none'}
            onChange={({ currentTarget }) =>
              bench.readByHand({ hump: currentTarget.checked ? 'none' : null })
            }
          />
          <span>There is no hump</span>
        </label>
      )}
      <div className="hand-check-ways">
        {asked ? (
          <button type="button" className="button" onClick={() => bench.readByHand(NOTHING_READ)}>
            Read once more
          </button>
        ) : (
          <button
            type="button"
            className="button button-main"
            onClick={() => bench.readByHand({ asked: true })}
          >
            Show what was computed
          </button>
        )}
        <button type="button" className="button" onClick={() => bench.checkByHand(false)}>
          Leave the hand check
        </button>
      </div>
    </section>
  );
}

function ComparisonRow({ comparison, asked }: { comparison: Comparison; asked: boolean }) {
  const { id, read, computed, u, unit } = comparison;
  const set = (value: number): string => `${printNumber(value, 1)}${unit === 'mm' ? '\u202fmm' : '°'}`;
  return (
    <tr data-reading={id}>
      <th scope="row">{NAMES[id]}</th>
      <td>{read === null ? 'not read' : set(read)}</td>
      {asked && (
        <td>
          {computed === null ? '–' : set(computed)}
          {u !== null && <span className="u"> ± {printNumber(u, 2)}</span>}
        </td>
      )}
      {asked && (
        <td>
          {read === null || computed === null ? '–' : `${read > computed ? '+' : ''}${set(read - computed)}`}
          {read !== null && computed !== null && u !== null && u > 0 && (
            <span className="soft"> {timesU(Math.abs(read - computed) / u)}</span>
          )}
        </td>
      )}
    </tr>
  );
}

function timesU(times: number): string {
  if (times < 1) return 'within u';
  return times > 99 ? 'over 99 u' : `${printNumber(times, times < 10 ? 1 : 0)} u`;
}

function humpWords(hump: HandGuess['hump']): string {
  if (hump === null) return 'The hump is not marked.';
  return hump === 'none' ? 'You say that there is no hump.' : `The hump is marked on Face ${hump.face}.`;
}

function verdictWords(verdict: HumpVerdict): string {
  switch (verdict.is) {
    case 'unsaid':
      return 'You did not mark a hump.';
    case 'none-right':
      return 'Right: no hump was found.';
    case 'none-missed':
      return 'A hump was found; look at the ochre ring.';
    case 'none-there':
      return 'No hump was found: what you marked is lower or smaller than a hump must be.';
    case 'hit':
      return `Your mark lies on the tallest hump, ${printNumber(verdict.distance, 1)}\u202fmm from its peak.`;
    case 'wrong-face':
      return 'The tallest hump is on the other face.';
    case 'off':
      return `Your mark lies ${printNumber(verdict.distance, 1)}\u202fmm from the peak of the tallest hump, beside it.`;
  }
}
