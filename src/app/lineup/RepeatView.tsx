import { useEffect, useState } from 'react';
import type { RepeatAnswer, RepeatFiles } from '../../../workers/lineupMessages.ts';
import type { Collection } from '../../drawer/collection.ts';
import {
  PIECE_MARKS,
  type PieceMark,
  RATERS,
  type Rater,
  type RepeatQuestion,
} from '../../drawer/repeatLean.ts';
import type { PairAgreement, RepeatMeasure } from '../../drawer/repeatTypes.ts';
import type { IccForm } from '../../drawer/statsIcc.ts';
import { saveFile } from '../save.ts';
import { AgreementChart } from './AgreementChart.tsx';
import { axisName } from './Axes.tsx';
import { DeviationChart } from './DeviationChart.tsx';
import { short } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import { RepeatChart } from './RepeatChart.tsx';
import { RepeatTable } from './RepeatTable.tsx';
import { useLineup, useLineupStore } from './useLineup.ts';

const FORMS: readonly IccForm[] = ['1,1', '2,1', '3,1', '1,k', '2,k', '3,k'];

/** The same pieces measured again: how far readings of one piece lie apart, and how much of the spread that is. */
export function RepeatView({ collection }: { collection: Collection }) {
  const picked = useLineup((state) => state.picked);
  const [mark, setMark] = useState<PieceMark>('number');
  const [raters, setRaters] = useState<Rater>('observer');
  const [onlyPicked, setOnlyPicked] = useState(false);
  const columns = useLineup((state) => state.columns);
  const asked = onlyPicked ? picked : ALL;
  const answer = useRepeats(collection, mark, raters, onlyPicked ? asked : undefined, columns);
  return (
    <>
      <div className="lineup-controls">
        <label>
          <span>One piece has</span>
          <select value={mark} onChange={({ currentTarget }) => setMark(currentTarget.value as PieceMark)}>
            {(Object.keys(PIECE_MARKS) as PieceMark[]).map((id) => (
              <option key={id} value={id}>
                {PIECE_MARKS[id]}
              </option>
            ))}
          </select>
        </label>
        <label>
          <span>Compared are</span>
          <select value={raters} onChange={({ currentTarget }) => setRaters(currentTarget.value as Rater)}>
            {(Object.keys(RATERS) as Rater[]).map((id) => (
              <option key={id} value={id}>
                {RATERS[id]}
              </option>
            ))}
          </select>
        </label>
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

const ALL: readonly string[] = [];

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
  const rated = set.raters.length > 1;
  const form = asked ?? (rated ? '2,1' : '1,1');
  const pairs = measure.pairs.filter(({ limits }) => limits.n > 1);
  const pair = pairs[Math.min(pairAt, pairs.length - 1)];
  const by = rated ? `, by ${set.raters.map((rater) => rater || 'someone not named').join('; ')}` : '';
  return (
    <>
      <p>
        {count(set.pieces.length, 'piece')} with {count(set.readings, 'reading')}
        {by}.
        {set.single.length > 0 && (
          <span className="soft"> Measured once and left out: {listed(set.single)}.</span>
        )}
        {set.unmarked.length > 0 && (
          <span className="soft"> Without a catalogue number and left out: {listed(set.unmarked)}.</span>
        )}
      </p>
      <RepeatTable measures={set.measures} chosen={measure.id} onChoose={setChosen} />
      <FileButtons question={question} ids={set.measures.map(({ id }) => id)} />
      <div className="lineup-controls">
        <label>
          <span>Agreement of</span>
          <select value={measure.id} onChange={({ currentTarget }) => setChosen(currentTarget.value)}>
            {set.measures.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        {pairs.length > 1 && (
          <label>
            <span>between</span>
            <select
              value={pairs.indexOf(pair)}
              onChange={({ currentTarget }) => setPairAt(Number(currentTarget.value))}
            >
              {pairs.map(({ first, second }, k) => (
                <option key={`${first} ${second}`} value={k}>
                  {second || 'not named'} less {first || 'not named'}
                </option>
              ))}
            </select>
          </label>
        )}
      </div>
      {pair === undefined ? (
        <DeviationChart measure={measure} />
      ) : (
        <PairChart measure={measure} pair={pair} set={set} />
      )}
      <div className="lineup-controls">
        <label>
          <span>Intraclass correlation</span>
          <select value={form} onChange={({ currentTarget }) => setForm(currentTarget.value as IccForm)}>
            {FORMS.map((id) => (
              <option key={id} value={id}>
                ({id})
              </option>
            ))}
          </select>
        </label>
      </div>
      <RepeatChart measures={set.measures} form={form} />
    </>
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
  const [first, second] = [pair.first || 'not named', pair.second || 'not named'];
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
      caption={`${name}, ${second} less ${first}, over the mean of both, of ${count(limits.n, 'piece')}: bias ${short(limits.bias)}, 95 % limits of agreement ${short(limits.lower)} to ${short(limits.upper)}; bars at the side are 95 % intervals of the three (Bland & Altman 1986).`}
      onPick={(piece) => lineup.pickOnly(set.keys[set.pieces.indexOf(piece)] ?? [])}
      onCsv={() =>
        downloadCsv(
          `repeat-${id}`,
          ['piece', 'first', 'second', 'mean', 'second less first'],
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
  return (
    <p className="figure-files">
      {FILES.map(([name, words]) => (
        <button key={name} type="button" className="button" onClick={() => void save(name)}>
          {words}
        </button>
      ))}
    </p>
  );
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
