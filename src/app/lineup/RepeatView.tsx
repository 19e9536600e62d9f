import { useEffect, useState } from 'react';
import type { RepeatAnswer, RepeatFiles } from '../../../workers/lineupMessages.ts';
import type { Collection } from '../../drawer/collection.ts';
import { withUnit } from '../../drawer/columnNames.ts';
import {
  PIECE_MARKS,
  type PieceMark,
  RATERS,
  type Rater,
  type RepeatQuestion,
} from '../../drawer/repeatLean.ts';
import type { PairAgreement, RepeatMeasure } from '../../drawer/repeatTypes.ts';
import type { IccForm } from '../../drawer/statsIcc.ts';
import { Select } from '../frame/Select.tsx';
import { saveFile } from '../save.ts';
import { AgreementChart } from './AgreementChart.tsx';
import { axisName } from './Axes.tsx';
import { DeviationChart } from './DeviationChart.tsx';
import { shortWithUnit } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import { RepeatChart } from './RepeatChart.tsx';
import { RepeatTable } from './RepeatTable.tsx';
import { SaveFiles } from './tableParts.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

/** A rater without a name. */
const NOBODY = 'not named';
const FORMS: readonly IccForm[] = ['1,1', '2,1', '3,1', '1,k', '2,k', '3,k'];

/** The same pieces measured again: how far readings of one piece lie apart, and how much of the spread that is. */
export function RepeatView({ collection }: { collection: Collection }) {
  const picked = useLineup((state) => state.picked);
  const [mark, setMark] = useState<PieceMark>('number');
  const [raters, setRaters] = useState<Rater>('observer');
  const [onlyPicked, setOnlyPicked] = useState(false);
  const columns = useLineup((state) => state.columns);
  const answer = useRepeats(collection, mark, raters, onlyPicked ? picked : undefined, columns);
  return (
    <>
      <div className="lineup-controls">
        <Select
          label="One piece has"
          value={mark}
          options={(Object.keys(PIECE_MARKS) as PieceMark[]).map((id) => [id, PIECE_MARKS[id]])}
          onPick={setMark}
        />
        <Select
          label="Compared are"
          value={raters}
          options={(Object.keys(RATERS) as Rater[]).map((id) => [id, RATERS[id]])}
          onPick={setRaters}
        />
        <label>
          <input type="checkbox" checked={onlyPicked} onChange={() => setOnlyPicked(!onlyPicked)} />
          <span>Picked records only</span>
        </label>
      </div>
      {answer === undefined ? (
        <p className="soft">The records are being compared.</p>
      ) : answer.set.pieces.length === 0 ? (
        <NothingTwice mark={mark} set={answer.set} />
      ) : (
        <Repeats question={answer.question} set={answer.set} />
      )}
    </>
  );
}

function NothingTwice({ mark, set }: { mark: PieceMark; set: RepeatAnswer }) {
  return (
    <p className="soft lineup-empty">
      No piece is here twice. Measure the same piece again, by another observer or on another occasion, and
      give both the same catalogue number and their observer in “Description” on the bench; or add their
      records with the button above. Records of one piece are told here by {PIECE_MARKS[mark]}.
      {set.unmarked.length > 0 && ` Without a catalogue number: ${listed(set.unmarked)}.`}
    </p>
  );
}

/** The first few of them, and how many more there are. */
function listed(names: readonly string[]): string {
  const shown = names.slice(0, 8).join(', ');
  return names.length > 8 ? `${shown} and ${names.length - 8} more` : shown;
}

const count = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;

function Repeats({ question, set }: { question: RepeatQuestion; set: RepeatAnswer }) {
  const [chosen, setChosen] = useState('');
  const [asked, setForm] = useState<IccForm | null>(null);
  const [pairAt, setPairAt] = useState(0);
  const measure = set.measures.find(({ id }) => id === chosen) ?? set.measures[0];
  if (measure === undefined)
    return <p className="soft">None of the table’s columns has a value in these records.</p>;
  const form = asked ?? (set.raters.length > 1 ? '2,1' : '1,1');
  const pairs = measure.pairs.filter(({ limits }) => limits.n > 1);
  const pair = pairs[Math.min(pairAt, pairs.length - 1)];
  return (
    <>
      <Headline set={set} />
      <RepeatTable measures={set.measures} chosen={measure.id} onChoose={setChosen} />
      <FileButtons question={question} ids={set.measures.map(({ id }) => id)} />
      <div className="lineup-controls">
        <Select
          label="Agreement of"
          value={measure.id}
          options={set.measures.map(({ id, name }) => [id, name])}
          onPick={setChosen}
        />
        {pairs.length > 1 && (
          <Select
            label="between"
            value={String(pairs.indexOf(pair))}
            options={pairs.map(({ first, second }, k) => [
              String(k),
              `${second || NOBODY} less ${first || NOBODY}`,
            ])}
            onPick={(k) => setPairAt(Number(k))}
          />
        )}
      </div>
      {pair === undefined ? (
        <DeviationChart measure={measure} />
      ) : (
        <PairChart measure={measure} pair={pair} set={set} />
      )}
      <div className="lineup-controls">
        <Select
          label="Intraclass correlation"
          value={form}
          options={FORMS.map((id) => [id, `(${id})`])}
          onPick={setForm}
        />
      </div>
      <RepeatChart measures={set.measures} form={form} />
    </>
  );
}

function Headline({ set: { pieces, readings, raters, single, unmarked } }: { set: RepeatAnswer }) {
  const by = raters.length > 1 ? `, by ${raters.map((rater) => rater || NOBODY).join('; ')}` : '';
  return (
    <p>
      {count(pieces.length, 'piece')} with {count(readings, 'reading')}
      {by}.{single.length > 0 && <span className="soft"> Measured once and left out: {listed(single)}.</span>}
      {unmarked.length > 0 && (
        <span className="soft"> Without a catalogue number and left out: {listed(unmarked)}.</span>
      )}
    </p>
  );
}

interface PairChartProps {
  readonly measure: RepeatMeasure;
  readonly pair: PairAgreement;
  readonly set: RepeatAnswer;
}

function PairChart({ measure: { id, name, unit }, pair, set }: PairChartProps) {
  const lineup = useLineupStore();
  const { limits, pieces, means, differences } = pair;
  const [first, second] = [pair.first || NOBODY, pair.second || NOBODY];
  return (
    <AgreementChart
      file={`repeat-${id}`}
      label={`${name}: ${second} less ${first}`}
      points={pieces.map((piece, i) => ({
        key: piece,
        name: piece,
        mean: means[i],
        difference: differences[i],
      }))}
      limits={limits}
      across={axisName('Mean of both', unit)}
      up={axisName(`${second} less ${first}`, unit)}
      caption={`${name}, ${second} less ${first}, over the mean of both, of ${count(limits.n, 'piece')}: bias ${shortWithUnit(limits.bias, unit)}, 95 % limits of agreement ${shortWithUnit(limits.lower, unit)} to ${shortWithUnit(limits.upper, unit)}; bars at the side are 95 % intervals of the three (Bland & Altman 1986).`}
      onPick={(piece) => lineup.pickOnly(set.keys[set.pieces.indexOf(piece)] ?? [])}
      onCsv={() =>
        downloadCsv(
          `repeat-${id}`,
          [
            'piece',
            ...['first', 'second', 'mean', 'second_less_first'].map((column) => withUnit(column, unit)),
          ],
          pieces.map((piece, i) => [piece, first, second, means[i], differences[i]]),
        )
      }
    />
  );
}

const FILES: readonly (readonly [keyof RepeatFiles, string])[] = [
  ['repeat.csv', 'Save all measures (CSV)'],
  ['repeat-agreement.csv', 'Save limits of agreement (CSV)'],
  ['repeat-readings.csv', 'Save readings (CSV)'],
  ['repeat.svg', 'Save report (SVG)'],
];

function FileButtons({ question, ids }: { question: RepeatQuestion; ids: readonly string[] }) {
  const lineup = useLineupStore();
  const save = async (name: keyof RepeatFiles): Promise<void> =>
    saveFile(name, (await lineup.worker().repeatFiles(question, ids))[name]);
  return <SaveFiles files={FILES} onSave={save} />;
}

interface Answered {
  readonly question: RepeatQuestion;
  readonly set: RepeatAnswer;
}

/** Undefined until the first answer; then the last one, until the next is there. */
function useRepeats(
  collection: Collection,
  mark: PieceMark,
  raters: Rater,
  which: readonly string[] | undefined,
  columns: readonly string[],
): Answered | undefined {
  const lineup = useLineupStore();
  const [answer, setAnswer] = useState<Answered>();
  useEffect(() => {
    let wanted = true;
    const question = { mark, raters, ...(which === undefined ? {} : { which }) };
    // Asked again when the collection has changed, which lies with the worker.
    const ids = columns.filter((id) => collection.measures.some((measure) => measure.id === id));
    void lineup
      .worker()
      .repeat(question, ids)
      .then((set) => wanted && setAnswer({ question, set }));
    return () => {
      wanted = false;
    };
  }, [lineup, collection, mark, raters, which, columns]);
  return answer;
}
