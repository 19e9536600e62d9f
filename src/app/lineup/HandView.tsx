import { useEffect, useState } from 'react';
import type { HandAnswer, HandFiles } from '../../../workers/lineupMessages.ts';
import type { Collection } from '../../drawer/collection.ts';
import { withUnit } from '../../drawer/columnNames.ts';
import type { HandMeasure } from '../../drawer/handCompare.ts';
import { FileButton } from '../frame/FileButton.tsx';
import { saveFile } from '../save.ts';
import { AgreementChart } from './AgreementChart.tsx';
import { axisName } from './Axes.tsx';
import { short, shortWithUnit } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import { Headings, measureName, RowButton, SaveFiles } from './tableParts.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

/** Lines of one kind that are shown; the file holds all. */
const MOST_LINES = 12;

/** Hand measurements from a table beside the computed ones. */
export function HandView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const hand = useLineup((state) => state.hand);
  const labels = useLineup((state) => state.labels);
  const { answer, fault } = useHand(collection, hand);
  return (
    <>
      <div className="lineup-controls">
        <FileButton
          label="Hand measurements"
          accept=".csv,.tsv,.txt"
          onFiles={([file]) => void lineup.openHand(file)}
        >
          {hand === null ? 'Open a table…' : 'Open another table…'}
        </FileButton>
        {hand !== null && <span className="soft">{hand.name}</span>}
      </div>
      {labels.length > 0 && (
        <p className="soft">
          {labels.length === 1 ? 'Its column' : 'Its columns'} {labels.map(({ name }) => name).join(', ')} can
          tell the pieces into groups: choose one under Groups above.
        </p>
      )}
      {fault !== '' && (
        <p className="refused" role="alert">
          {hand?.name}: {fault}
        </p>
      )}
      {hand === null && <HowTo />}
      {answer !== undefined && fault === '' && hand !== null && <Compared answer={answer} hand={hand} />}
    </>
  );
}

function HowTo() {
  return (
    <div className="lineup-empty soft">
      <p>
        Open or drop a CSV file with one row a piece: a column <code>catalogue_number</code>, and measures
        with their unit, such as <code>length_mm</code>, <code>width_cm</code>, <code>thickness_in</code> or{' '}
        <code>edge.angle.mean_deg</code>. Rows are matched with the pieces here by their catalogue number.
        Other columns, such as a period or a level, can tell the pieces into groups.
      </p>
    </div>
  );
}

function Compared({ answer, hand }: { answer: HandAnswer; hand: File }) {
  const { table, comparison } = answer;
  const [chosen, setChosen] = useState('');
  const withPairs = comparison.measures.filter(({ pairs }) => pairs.length > 0);
  const one = withPairs.find(({ measure }) => measure.id === chosen) ?? withPairs[0];
  return (
    <>
      <p>
        {comparison.pieces} of {table.rows.length} rows matched. Differences are hand less computed.
      </p>
      <HandTable measures={comparison.measures} chosen={one?.measure.id} onChoose={setChosen} />
      <HandFileButtons hand={hand} />
      {one !== undefined && <HandChart one={one} />}
      <Notes answer={answer} />
    </>
  );
}

const HEADINGS = [
  'Measure',
  'Pieces',
  'Left out',
  'Bias',
  '95 % interval',
  'SD',
  'Limits of agreement',
  'Likely unit error',
] as const;

interface HandTableProps {
  readonly measures: readonly HandMeasure[];
  readonly chosen: string | undefined;
  readonly onChoose: (id: string) => void;
}

function HandTable({ measures, chosen, onChoose }: HandTableProps) {
  return (
    <section
      className="table-scroll"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, by keys as well
      tabIndex={0}
      aria-label="Hand less computed"
    >
      <table className="numbers">
        <Headings names={HEADINGS} />
        <tbody>
          {measures.map(({ measure, pairs, limits, slip }) => (
            <tr key={measure.id} data-picked={measure.id === chosen}>
              <RowButton
                chosen={measure.id === chosen}
                disabled={pairs.length === 0}
                onChoose={() => onChoose(measure.id)}
              >
                {measureName(measure)}
              </RowButton>
              <td>{limits.n}</td>
              <td>{pairs.length - limits.n}</td>
              <td>{short(limits.bias)}</td>
              <td>
                {limits.n > 1
                  ? `${short(limits.biasInterval.low)} to ${short(limits.biasInterval.high)}`
                  : '–'}
              </td>
              <td>{short(limits.sd)}</td>
              <td>{limits.n > 1 ? `${short(limits.lower)} to ${short(limits.upper)}` : '–'}</td>
              <td>{pairs.length > 1 && slip !== null ? `the whole column: ${slip}` : '–'}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function HandChart({ one }: { one: HandMeasure }) {
  const lineup = useLineupStore();
  const { measure, pairs, limits } = one;
  const { id, name, unit } = measure;
  const apart = pairs.length - limits.n;
  // Readings in another unit would press all others into a line.
  const shown = limits.n > 0 ? pairs.filter(({ slip }) => slip === null) : pairs;
  return (
    <AgreementChart
      file={`hand-${id}`}
      label={`${name}: hand less computed`}
      points={shown.map(({ key, number, hand, computed, slip }) => ({
        key,
        name: number,
        mean: (hand + computed) / 2,
        difference: hand - computed,
        apart: slip !== null,
      }))}
      limits={limits}
      across={axisName('Mean of hand and computed', unit)}
      up={axisName('Hand less computed', unit)}
      caption={`${name}, hand less computed, over the mean of both, of ${limits.n} ${limits.n === 1 ? 'piece' : 'pieces'}${limits.n > 1 ? `: bias ${shortWithUnit(limits.bias, unit)}, 95 % limits of agreement ${shortWithUnit(limits.lower, unit)} to ${shortWithUnit(limits.upper, unit)}; bars at the side are 95 % intervals of the three (Bland & Altman 1986)` : ''}.${apart > 0 ? ` ${apart} with a likely unit error left out.` : ''}`}
      onPick={lineup.pick}
      onCsv={() =>
        downloadCsv(
          `hand-${id}`,
          [
            'catalogue_number',
            ...['hand', 'computed', 'computed_u', 'hand_less_computed'].map((column) =>
              withUnit(column, unit),
            ),
            'likely_unit_error',
          ],
          pairs.map(({ number, hand, computed, u, slip }) => [
            number,
            hand,
            computed,
            u,
            hand - computed,
            slip,
          ]),
        )
      }
    />
  );
}

const FILES: readonly (readonly [keyof HandFiles, string])[] = [
  ['compare.csv', 'Save limits of agreement (CSV)'],
  ['compare-differences.csv', 'Save differences (CSV)'],
  ['compare-unmatched.csv', 'Save what was not matched (CSV)'],
];

function HandFileButtons({ hand }: { hand: File }) {
  const lineup = useLineupStore();
  const save = async (name: keyof HandFiles): Promise<void> =>
    saveFile(name, (await lineup.worker().handFiles(hand))[name]);
  return <SaveFiles files={FILES} onSave={save} />;
}

/** What did not fit, in words. */
function Notes({ answer: { table, comparison } }: { answer: HandAnswer }) {
  const slips = comparison.measures.flatMap(({ measure, pairs }) =>
    pairs
      .filter(({ slip }) => slip !== null)
      .map(
        ({ number, hand, computed, slip }) =>
          `${number}: ${measure.name.toLowerCase()} ${short(hand)} by hand, ${short(computed)} computed: ${slip} were probably mixed up`,
      ),
  );
  const rows = comparison.unmatched.filter(({ side }) => side === 'hand');
  const records = comparison.unmatched.filter(({ side }) => side === 'record');
  return (
    <>
      <Lines heading="Likely unit errors, left out of the limits" lines={slips} />
      <Lines
        heading="Rows of the table without a piece"
        lines={rows.map(({ where, number, why }) => `${where}${number === '' ? '' : `, ${number}`}: ${why}`)}
      />
      <Lines
        heading="Pieces without a row"
        lines={records.map(
          ({ where, number, why }) => `${number === where ? where : `${number} (${where})`}: ${why}`,
        )}
      />
      <Lines heading="Cells left out" lines={table.unreadable} />
      <Lines heading="Columns that name no measure" lines={table.ignored} />
    </>
  );
}

function Lines({ heading, lines }: { heading: string; lines: readonly string[] }) {
  if (lines.length === 0) return null;
  return (
    <section className="hand-lines">
      <h2>{heading}</h2>
      <ul>
        {lines.slice(0, MOST_LINES).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      {lines.length > MOST_LINES && <p className="soft">and {lines.length - MOST_LINES} more</p>}
    </section>
  );
}

/** The comparison of the table that is open with the collection as it is. */
function useHand(
  collection: Collection,
  hand: File | null,
): { readonly answer: HandAnswer | undefined; readonly fault: string } {
  const lineup = useLineupStore();
  const [found, setFound] = useState<{ readonly answer: HandAnswer | undefined; readonly fault: string }>({
    answer: undefined,
    fault: '',
  });
  // biome-ignore lint/correctness/useExhaustiveDependencies: the collection lies with the worker; a changed one is compared anew
  useEffect(() => {
    if (hand === null) return;
    let wanted = true;
    lineup
      .worker()
      .hand(hand)
      .then(
        (answer) => wanted && setFound({ answer, fault: '' }),
        (error: Error) => wanted && setFound({ answer: undefined, fault: error.message }),
      );
    return () => {
      wanted = false;
    };
  }, [lineup, collection, hand]);
  return found;
}
