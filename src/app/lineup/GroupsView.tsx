import { scaleLinear } from 'd3-scale';
import { useEffect, useMemo, useState } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import type { Comparison } from '../../drawer/compareGroups.ts';
import { CORRECTIONS, type Correction } from '../../drawer/statsCorrection.ts';
import { LevelAxis, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { short } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { Headings } from './tableParts.tsx';
import { measureOf, useGroups, useLineup, useLineupStore } from './useLineup.ts';

const WIDTH = 960;
const [LEFT, RIGHT, TOP, ROW] = [240, WIDTH - 40, 24, 34];

/** Two groups compared in the measures of the table: how far apart, how sure, and what chance would do. */
export function GroupsView({ collection }: { collection: Collection }) {
  const groups = useGroups(collection);
  const [chosen, setChosen] = useState<readonly [string, string]>(['', '']);
  const by = useLineup((state) => state.groupBy);
  const [correction, setCorrection] = useState<Correction>('holm');
  if (groups.length < 2) {
    return (
      <p className="soft">
        {by === 'none'
          ? 'Choose above how the pieces are told into groups.'
          : 'That way all pieces are in one group; choose another above.'}{' '}
        “Picked pieces” compares those that you pick in any picture or in the table with all others.
      </p>
    );
  }
  const named = (name: string): PieceGroup | undefined => groups.find((group) => group.name === name);
  const first = named(chosen[0]) ?? groups[0];
  const second = named(chosen[1]) ?? groups.find((group) => group !== first) ?? groups[1];
  return (
    <>
      <div className="lineup-controls">
        <GroupSelect
          label="First"
          groups={groups}
          value={first}
          onChoose={(name) => setChosen([name, second.name])}
        />
        <GroupSelect
          label="Second"
          groups={groups}
          value={second}
          onChoose={(name) => setChosen([first.name, name])}
        />
        <label>
          <span>Correction</span>
          <select
            value={correction}
            onChange={({ currentTarget }) => setCorrection(currentTarget.value as Correction)}
          >
            <option value="holm">Holm</option>
            <option value="benjamini-hochberg">Benjamini–Hochberg</option>
          </select>
        </label>
      </div>
      {first === second ? (
        <p className="soft">Choose two different groups.</p>
      ) : (
        <Compared collection={collection} first={first} second={second} by={correction} />
      )}
    </>
  );
}

interface GroupSelectProps {
  readonly label: string;
  readonly groups: readonly PieceGroup[];
  readonly value: PieceGroup;
  readonly onChoose: (name: string) => void;
}

function GroupSelect({ label, groups, value, onChoose }: GroupSelectProps) {
  return (
    <label>
      <span>{label}</span>
      <select value={value.name} onChange={({ currentTarget }) => onChoose(currentTarget.value)}>
        {groups.map(({ name, which }) => (
          <option key={name} value={name}>
            {name} ({which.length})
          </option>
        ))}
      </select>
    </label>
  );
}

interface ComparedProps {
  readonly collection: Collection;
  readonly first: PieceGroup;
  readonly second: PieceGroup;
  readonly by: Correction;
}

function Compared({ collection, first, second, by }: ComparedProps) {
  const lineup = useLineupStore();
  const columns = useLineup((state) => state.columns);
  const picked = useLineup((state) => state.picked);
  const found = useComparison(collection, columns, first, second, by);
  const rows = useMemo(
    () => found.map((one) => ({ one, measure: measureOf(collection, one.id) })),
    [found, collection],
  );
  if (rows.length === 0) return <p className="soft">The groups are being compared.</p>;
  const toX = scaleLinear(
    roomy(
      [0],
      rows
        .flatMap(({ one }) => [one.effect.gInterval.low, one.effect.gInterval.high])
        .filter(Number.isFinite),
    ),
    [LEFT, RIGHT],
  ).nice();
  const exact = rows.every(({ one }) => one.test.exact);
  const bottom = TOP + rows.length * ROW;
  const caption = `Effect size g (Hedges 1981), ${second.name} less ${first.name}, with 95 % interval (Hedges & Olkin 1985). p: permutation test of the difference of means, two-sided, ${exact ? 'every way of dealing the pieces tried' : 'ways of dealing the pieces tried all or drawn 9,999 times with a fixed seed'}. ${rows.length} measures were tested at once; “corrected” is by ${CORRECTIONS[by]}.`;
  return (
    <>
      <ChartFrame
        file="groups"
        label={`${second.name} compared with ${first.name}`}
        width={WIDTH}
        height={bottom + 50}
        caption={caption}
        spotsOf={null}
        picked={picked}
        onPick={lineup.pick}
        onCsv={() =>
          saveComparison(
            collection,
            rows.map(({ one }) => one),
            first,
            second,
            by,
          )
        }
      >
        <LevelAxis toX={toX} name="Effect size g" top={TOP} bottom={bottom} />
        <line className="zero" x1={toX(0)} x2={toX(0)} y1={TOP} y2={bottom} />
        {rows.map(({ one: { id, effect }, measure }, i) => {
          const y = TOP + (i + 0.5) * ROW;
          return (
            <g key={id}>
              <text className="axis-name" x={16} y={y + 4}>
                {measure.name}
              </text>
              {Number.isFinite(effect.g) && (
                <>
                  <line
                    className="line"
                    x1={toX(effect.gInterval.low)}
                    x2={toX(effect.gInterval.high)}
                    y1={y}
                    y2={y}
                  />
                  <circle className="fill-0" cx={toX(effect.g)} cy={y} r={5} />
                </>
              )}
            </g>
          );
        })}
      </ChartFrame>
      <div className="table-scroll">
        <table className="numbers">
          <caption className="unseen">{caption}</caption>
          <Headings
            names={[
              'Measure',
              `Mean of ${first.name}`,
              `Mean of ${second.name}`,
              'Difference',
              '95 % interval',
              'g',
              'p',
              'p corrected',
            ]}
          />
          <tbody>
            {rows.map(({ one, measure }) => (
              <tr key={one.id}>
                <th scope="row">{measure.name}</th>
                <td>{short(one.first.mean)}</td>
                <td>{short(one.second.mean)}</td>
                <td>{short(one.effect.difference)}</td>
                <td>
                  {short(one.effect.differenceInterval.low)} to {short(one.effect.differenceInterval.high)}
                </td>
                <td>{Number.isFinite(one.effect.g) ? one.effect.g.toFixed(2).replace('-', '−') : '–'}</td>
                <td>{printP(one.test.p)}</td>
                <td>{printP(one.corrected)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="soft">The measures are the columns of the table; choose others there.</p>
    </>
  );
}

function printP(p: number): string {
  if (!Number.isFinite(p)) return '–';
  return p < 0.001 ? '< 0.001' : p.toFixed(3);
}

function useComparison(
  collection: Collection,
  columns: readonly string[],
  first: PieceGroup,
  second: PieceGroup,
  by: Correction,
): readonly Comparison[] {
  const lineup = useLineupStore();
  const [found, setFound] = useState<readonly Comparison[]>([]);
  useEffect(() => {
    let wanted = true;
    const ids = columns.filter((id) => collection.measures.some((measure) => measure.id === id));
    void lineup
      .worker()
      .compare(ids, first.which, second.which, by)
      .then((answer) => wanted && setFound(answer));
    return () => {
      wanted = false;
    };
  }, [lineup, collection, columns, first, second, by]);
  return found;
}

function saveComparison(
  { measures }: Collection,
  rows: readonly Comparison[],
  first: PieceGroup,
  second: PieceGroup,
  by: Correction,
): void {
  const header = [
    ...['measure', 'unit', 'first', 'second', 'n_first', 'n_second', 'mean_first', 'mean_second'],
    ...['sd_first', 'sd_second', 'difference', 'difference_low', 'difference_high'],
    ...['g', 'g_low', 'g_high', 'p', 'exact', `p_${by}`],
  ];
  downloadCsv(
    'groups',
    header,
    rows.map(({ id, first: a, second: b, effect: e, test, corrected }) => [
      ...[
        id,
        measures.find((one) => one.id === id)?.unit,
        first.name,
        second.name,
        a.n,
        b.n,
        a.mean,
        b.mean,
        a.sd,
        b.sd,
      ],
      ...[e.difference, e.differenceInterval.low, e.differenceInterval.high],
      ...[e.g, e.gInterval.low, e.gInterval.high, test.p, test.exact ? 'TRUE' : 'FALSE', corrected],
    ]),
  );
}
