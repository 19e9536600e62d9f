import { memo, useCallback, useEffect, useState } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import { withUnit } from '../../drawer/columnNames.ts';
import { BANDS_NOTE, bandPlaces, type ContinuumPlaces } from '../../drawer/continuum.ts';
import { summarise } from '../../drawer/statsSummary.ts';
import { axisName } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { short } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { Legend } from './Legend.tsx';
import { MANY_MARKS, markRadius, marksPath, ticksPath } from './marks.ts';
import { PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { useGroups, useLineup, useLineupStore } from './useLineup.ts';

const WIDTH = 960;
const [LEFT, RIGHT, TOP, ROW] = [212, WIDTH - 120, 40, 86];
/** Up to so many pieces every one has its line. */
const MOST_LINES = 60;

const yOf = (row: number): number => TOP + (row + 0.5) * ROW;
const xOf = (place: number): number => LEFT + place * (RIGHT - LEFT);

/** The way of one piece from row to row; broken where it has no value. */
function lineOf(rows: readonly ContinuumPlaces[], i: number): string {
  let pen = 'M';
  let path = '';
  rows.forEach(({ place }, row) => {
    const known = Number.isFinite(place[i]);
    if (known) path += `${pen}${xOf(place[i]).toFixed(1)} ${yOf(row).toFixed(1)}`;
    pen = known ? 'L' : 'M';
  });
  return path;
}

/** Where each piece stands among the others in the five measures by which reduction is followed: ranks, never a stage. */
export function ContinuumView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const picked = useLineup((state) => state.picked);
  const groups = useGroups(collection);
  const [bands, setBands] = useState(false);
  const rows = useRanks(collection);
  const spotsOf = useCallback(
    () =>
      rows.flatMap(({ place }, row) =>
        collection.keys.map((key, i) => ({ key, name: collection.names[i], x: xOf(place[i]), y: yOf(row) })),
      ),
    [rows, collection],
  );
  if (rows.length === 0) return <p className="soft">The pieces are being ranked.</p>;
  return (
    <>
      <div className="lineup-controls">
        <label>
          <input type="checkbox" checked={bands} onChange={() => setBands(!bands)} />
          <span>Published bands</span>
        </label>
      </div>
      <ChartFrame
        file="continuum"
        label="Continuum of reduction"
        width={WIDTH}
        height={TOP + rows.length * ROW + 16}
        caption={`Each row ranks those of the ${collection.keys.length} pieces that have its measure among each other, each tick with the value there; later work tends to the right (common practice). A rank says where a piece stands here, not which stage it is.${bands ? ` ${BANDS_NOTE}` : ''}`}
        spotsOf={spotsOf}
        picked={picked}
        onPick={lineup.pick}
        onCsv={() => saveRanks(collection, rows)}
      >
        <Rows collection={collection} rows={rows} groups={groups} bands={bands} />
        {picked.map((key) => {
          const i = collection.keys.indexOf(key);
          return i >= 0 && <path key={key} className="line" d={lineOf(rows, i)} />;
        })}
      </ChartFrame>
    </>
  );
}

/** Ranks by the worker; none while it is at it. */
function useRanks(collection: Collection): readonly ContinuumPlaces[] {
  const lineup = useLineupStore();
  const [found, setFound] = useState<{ of: Collection; rows: readonly ContinuumPlaces[] }>();
  useEffect(() => {
    let wanted = true;
    void lineup
      .worker()
      .ranks()
      .then((rows) => wanted && setFound({ of: collection, rows }));
    return () => {
      wanted = false;
    };
  }, [lineup, collection]);
  // Ranks of an earlier collection would not fit its places.
  return found?.of === collection ? found.rows : NO_RANKS;
}

const NO_RANKS: readonly ContinuumPlaces[] = [];

interface RowsProps {
  readonly collection: Collection;
  readonly rows: readonly ContinuumPlaces[];
  readonly groups: readonly PieceGroup[];
  readonly bands: boolean;
}

const Rows = memo(function Rows({ collection, rows, groups, bands }: RowsProps) {
  const count = collection.keys.length;
  return (
    <>
      <Legend groups={groups} x={LEFT} y={20} />
      {rows.map((row, i) => (
        <RankRow key={row.row.id} places={row} y={yOf(i)} bands={bands} />
      ))}
      {count <= MOST_LINES && (
        <path className="thin" d={collection.keys.map((_, i) => lineOf(rows, i)).join('')} />
      )}
      {groups.map(({ name, which }, g) => (
        <path
          key={name}
          className={count > MANY_MARKS ? `ticks stroke-${g}` : `mark fill-${g}`}
          d={rows
            .map(({ place }, row) => rankMarks(g, groups.length, which, place, yOf(row), count))
            .join('')}
        />
      ))}
    </>
  );
});

/** Room above a row's line for the lanes of the groups. */
const LANES = 34;

/** A group's pieces on one row: marks on the line, or ticks in a lane of the group's own where there are too many. */
function rankMarks(
  group: number,
  groups: number,
  which: Int32Array,
  place: Float64Array,
  y: number,
  count: number,
): string {
  const x = Float64Array.from(which, (i) => xOf(place[i]));
  if (count > MANY_MARKS) {
    const lane = Math.min(12, LANES / groups);
    return ticksPath(x, y - 2 - lane * (groups - group - 0.5), lane - 1.5);
  }
  return marksPath(
    group,
    x,
    x.map(() => y),
    markRadius(count),
  );
}

function saveRanks(collection: Collection, rows: readonly ContinuumPlaces[]): void {
  downloadCsv(
    'continuum',
    [...PIECE_COLUMNS, ...rows.flatMap(({ row, unit }) => [withUnit(row.id, unit), `${row.id}_place`])],
    collection.names.map((_, i) => [
      ...pieceCells(collection, i),
      ...rows.flatMap(({ value, place }) => [value[i], place[i]]),
    ]),
  );
}

interface RankRowProps {
  readonly places: ContinuumPlaces;
  readonly y: number;
  readonly bands: boolean;
}

/** The row's line with the values at its quarters, and the bands of the literature behind it. */
function RankRow({ places, y, bands }: RankRowProps) {
  const { row, value, unit } = places;
  const { min, q1, median, q3, max } = summarise(value);
  const quarters = row.rising ? [min, q1, median, q3, max] : [max, q3, median, q1, min];
  return (
    <g>
      {bands &&
        row.bands.map((band) => {
          const [from, to] = bandPlaces(places, band);
          if (!(to > from)) return null;
          const [left, right] = [xOf(from), xOf(to)];
          return (
            <g key={band.label}>
              <rect
                className="band"
                x={left + 1}
                width={Math.max(0, right - left - 2)}
                y={y - 26}
                height={52}
              />
              {right - left > 60 && (
                <text className="halo" x={(left + right) / 2} y={y - 14} textAnchor="middle">
                  {band.label}
                </text>
              )}
            </g>
          );
        })}
      <line className="zero" x1={xOf(0)} x2={xOf(1)} y1={y} y2={y} />
      <text className="axis-name" x={16} y={y + 4}>
        {axisName(row.name, unit)}
      </text>
      <text x={xOf(1) + 12} y={y + 4}>
        {row.towards} →
      </text>
      {quarters.map((at, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: five fixed places
        <g key={i}>
          <line className="zero" x1={xOf(i / 4)} x2={xOf(i / 4)} y1={y + 8} y2={y + 14} />
          <text className="halo" x={xOf(i / 4)} y={y + 28} textAnchor="middle">
            {short(at)}
          </text>
        </g>
      ))}
    </g>
  );
}
