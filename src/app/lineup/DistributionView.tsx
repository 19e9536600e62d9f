import { bin } from 'd3-array';
import { type ScaleLinear, scaleLinear } from 'd3-scale';
import { useCallback, useMemo } from 'react';
import type { Collection, MeasureColumn } from '../../drawer/collection.ts';
import { measureColumns } from '../../drawer/columnNames.ts';
import { QUARTILES, type Summary, summarise } from '../../drawer/statsSummary.ts';
import type { MeasureUnit } from '../../measures/types.ts';
import { printNumber, unitSign } from '../words/values.ts';
import { axisName, LevelAxis, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { MeasureSelect } from './MeasureSelect.tsx';
import { ticksPath } from './marks.ts';
import { PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { roughWords } from './roughWords.ts';
import { measureOf, useGroups, useLineup, useLineupStore } from './useLineup.ts';

const WIDTH = 960;
const [LEFT, RIGHT, TOP] = [150, WIDTH - 24, 24];
const ROW = 118;
/** Within a row, from its top: the bars stand here; then the box of quartiles; then a tick for every piece. */
const PARTS = { base: 70, box: 86, rug: 100 } as const;

/** One measure over the collection, group by group: how often, quartiles, and every piece. */
export function DistributionView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const one = useLineup((state) => state.one);
  const picked = useLineup((state) => state.picked);
  const groups = useGroups(collection);
  const measure = measureOf(collection, one);
  const height = TOP + groups.length * ROW + 52;
  const rows = useMemo(
    () =>
      groups.map((group) => {
        const values = Float64Array.from(group.which, (i) => measure.value[i]);
        return { group, values, summary: summarise(values) };
      }),
    [groups, measure],
  );
  const toX = useMemo(() => scaleLinear(roomy(measure.value), [LEFT, RIGHT]).nice(), [measure]);
  const spotsOf = useCallback(
    () =>
      groups.flatMap(({ which }, row) =>
        Array.from(which, (i) => ({
          key: collection.keys[i],
          name: collection.names[i],
          x: toX(measure.value[i]),
          y: TOP + row * ROW + PARTS.rug,
        })),
      ),
    [groups, collection, measure, toX],
  );
  const drawn = useMemo(
    () => (
      <>
        <LevelAxis
          toX={toX}
          name={axisName(measure.name, measure.unit)}
          top={TOP}
          bottom={TOP + groups.length * ROW}
        />
        {rows.map(({ group, values, summary }, i) => (
          <DistributionRow key={group.name} {...{ group, values, summary, toX }} index={i} />
        ))}
      </>
    ),
    [rows, toX, measure, groups],
  );
  return (
    <>
      <div className="lineup-controls">
        <MeasureSelect
          label="Measure"
          collection={collection}
          value={measure.id}
          onChoose={(id) => lineup.set({ one: id })}
        />
      </div>
      <ChartFrame
        file={`distribution-${measure.id}`}
        label={`Distribution of ${measure.name}`}
        width={WIDTH}
        height={height}
        caption={`${measure.name}: bars count pieces; the box holds the middle half with the median as its line; every piece is a tick.${roughWords([measure])} ${QUARTILES}`}
        spotsOf={spotsOf}
        picked={picked}
        onPick={lineup.pick}
        onCsv={() =>
          downloadCsv(
            `distribution-${measure.id}`,
            [...PIECE_COLUMNS, 'group', ...measureColumns(measure)],
            groups.flatMap(({ name, which }) =>
              Array.from(which, (i) => [...pieceCells(collection, i), name, measure.value[i], measure.u[i]]),
            ),
          )
        }
      >
        {drawn}
      </ChartFrame>
      <SummaryTable rows={rows} measure={measure} />
    </>
  );
}

interface RowProps {
  readonly group: PieceGroup;
  readonly values: Float64Array;
  readonly summary: Summary;
  readonly toX: ScaleLinear<number, number>;
  readonly index: number;
}

function DistributionRow({ group, values, summary, toX, index }: RowProps) {
  const top = TOP + index * ROW;
  const known = Array.from(values).filter(Number.isFinite);
  const [low, high] = toX.domain();
  const bins = bin().domain([low, high]).thresholds(toX.ticks(30))(known);
  const most = Math.max(1, ...bins.map(({ length }) => length));
  const toHeight = scaleLinear([0, most], [0, PARTS.base - 14]);
  const bars = bins
    .filter(({ length }) => length > 0)
    .map(({ x0 = low, x1 = high, length }) => {
      const [from, to, h] = [toX(x0) + 0.5, toX(x1) - 0.5, toHeight(length)];
      return `M${from.toFixed(1)} ${(top + PARTS.base - h).toFixed(1)}H${to.toFixed(1)}v${h.toFixed(1)}H${from.toFixed(1)}Z`;
    })
    .join('');
  const rug = ticksPath(known.map(toX), top + PARTS.rug);
  const box = top + PARTS.box;
  return (
    <g>
      <text className="axis-name" x={16} y={top + PARTS.base - 22}>
        {group.name}
      </text>
      <text x={16} y={top + PARTS.base - 5}>
        {summary.n} {summary.n === 1 ? 'piece' : 'pieces'}
      </text>
      <path className={`mark fill-${index}`} d={bars} />
      <path className={`bars stroke-${index}`} d={rug} />
      {summary.n > 1 && (
        <>
          <line className="line" x1={toX(summary.min)} x2={toX(summary.q1)} y1={box} y2={box} />
          <line className="line" x1={toX(summary.q3)} x2={toX(summary.max)} y1={box} y2={box} />
          <rect
            className="line"
            x={toX(summary.q1)}
            width={toX(summary.q3) - toX(summary.q1)}
            y={box - 6}
            height={12}
          />
          <line
            className="line"
            x1={toX(summary.median)}
            x2={toX(summary.median)}
            y1={box - 6}
            y2={box + 6}
          />
        </>
      )}
    </g>
  );
}

const HEADINGS: readonly (readonly [keyof Summary, string])[] = [
  ['n', 'Pieces'],
  ['mean', 'Mean'],
  ['sd', 'SD'],
  ['min', 'Least'],
  ['q1', 'Lower quartile'],
  ['median', 'Median'],
  ['q3', 'Upper quartile'],
  ['max', 'Greatest'],
];

function SummaryTable({
  rows,
  measure,
}: {
  rows: readonly { group: PieceGroup; summary: Summary }[];
  measure: MeasureColumn;
}) {
  return (
    <div className="table-scroll">
      <table className="numbers">
        <caption className="unseen">{axisName(measure.name, measure.unit)} by group</caption>
        <thead>
          <tr>
            <th scope="col">Group</th>
            {HEADINGS.map(([id, name]) => (
              <th key={id} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ group, summary }) => (
            <tr key={group.name}>
              <th scope="row">{group.name}</th>
              {HEADINGS.map(([id]) => (
                <td key={id}>{id === 'n' ? summary.n : short(summary[id])}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** Four figures, a whole number as it is, or a dash. */
export function short(value: number): string {
  if (!Number.isFinite(value)) return '–';
  if (Number.isInteger(value)) return printNumber(value, 0);
  const decimals = Math.max(0, 3 - Math.floor(Math.log10(Math.abs(value))));
  return printNumber(value, Math.min(6, decimals));
}

/** The same with its unit. */
export function shortWithUnit(value: number, unit: MeasureUnit): string {
  const sign = unitSign(unit);
  return `${short(value)}${sign === '' || sign === '°' ? '' : '\u202f'}${sign}`;
}
