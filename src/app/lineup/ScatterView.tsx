import { scaleLinear } from 'd3-scale';
import { useCallback, useMemo, useState } from 'react';
import type { Collection, MeasureColumn } from '../../drawer/collection.ts';
import { measureColumns } from '../../drawer/columnNames.ts';
import { Axes, axisName, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { Legend } from './Legend.tsx';
import { MeasureSelect } from './MeasureSelect.tsx';
import { markRadius, marksPath } from './marks.ts';
import { PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { roughWords } from './roughWords.ts';
import { measureOf, useGroups, useLineup, useLineupStore } from './useLineup.ts';

const [WIDTH, HEIGHT] = [960, 520];
const PLOT = { left: 64, right: WIDTH - 24, top: 56, bottom: HEIGHT - 52 } as const;

/** Any measure against any other. */
export function ScatterView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const [x, y] = [useLineup((state) => state.x), useLineup((state) => state.y)];
  const picked = useLineup((state) => state.picked);
  const groups = useGroups(collection);
  const [bars, setBars] = useState(false);
  const [across, up] = [measureOf(collection, x), measureOf(collection, y)];
  const laid = useMemo(() => layOut(across, up), [across, up]);
  const spotsOf = useCallback(
    () => collection.keys.map((key, i) => ({ key, name: collection.names[i], x: laid.x[i], y: laid.y[i] })),
    [collection, laid],
  );
  const shown = laid.x.filter((x, i) => Number.isFinite(x) && Number.isFinite(laid.y[i])).length;
  const drawn = useMemo(
    () => (
      <>
        <Axes {...laid} x={axisName(across.name, across.unit)} y={axisName(up.name, up.unit)} />
        <Legend groups={groups} x={PLOT.left} y={20} />
        {groups.map((group, i) => (
          <Marks key={group.name} group={group} index={i} laid={laid} bars={bars} across={across} up={up} />
        ))}
      </>
    ),
    [laid, groups, bars, across, up],
  );
  return (
    <>
      <div className="lineup-controls">
        <MeasureSelect
          label="Across"
          collection={collection}
          value={across.id}
          onChoose={(id) => lineup.set({ x: id })}
        />
        <MeasureSelect
          label="Up"
          collection={collection}
          value={up.id}
          onChoose={(id) => lineup.set({ y: id })}
        />
        <label>
          <input type="checkbox" checked={bars} onChange={() => setBars(!bars)} />
          <span>Error bars (± u)</span>
        </label>
      </div>
      <ChartFrame
        file={`scatter-${across.id}-${up.id}`}
        label={`${up.name} against ${across.name}`}
        width={WIDTH}
        height={HEIGHT}
        caption={`${up.name} against ${across.name} of ${shown} of ${collection.keys.length} pieces.${roughWords([across, up])}${bars ? ' Bars: one standard uncertainty to either side.' : ''}`}
        spotsOf={spotsOf}
        picked={picked}
        onPick={lineup.pick}
        onCsv={() =>
          downloadCsv(
            `scatter-${across.id}-${up.id}`,
            [...PIECE_COLUMNS, 'group', ...measureColumns(across), ...measureColumns(up)],
            groups.flatMap(({ name, which }) =>
              Array.from(which, (i) => [
                ...pieceCells(collection, i),
                name,
                ...[across.value[i], across.u[i], up.value[i], up.u[i]],
              ]),
            ),
          )
        }
      >
        {drawn}
      </ChartFrame>
    </>
  );
}

function layOut(across: MeasureColumn, up: MeasureColumn) {
  const toX = scaleLinear(roomy(across.value), [PLOT.left, PLOT.right]);
  const toY = scaleLinear(roomy(up.value), [PLOT.bottom, PLOT.top]);
  return { toX, toY, x: across.value.map((v) => toX(v)), y: up.value.map((v) => toY(v)) };
}

interface MarksProps {
  readonly group: PieceGroup;
  readonly index: number;
  readonly laid: ReturnType<typeof layOut>;
  readonly bars: boolean;
  readonly across: MeasureColumn;
  readonly up: MeasureColumn;
}

function Marks({ group: { which }, index, laid, bars, across, up }: MarksProps) {
  const [x, y] = [Float64Array.from(which, (i) => laid.x[i]), Float64Array.from(which, (i) => laid.y[i])];
  return (
    <>
      {bars && <path className={`bars stroke-${index}`} d={barsPath(which, laid, across, up)} />}
      <path className={`mark fill-${index}`} d={marksPath(index, x, y, markRadius(laid.x.length))} />
    </>
  );
}

function barsPath(
  which: Int32Array,
  { toX, toY, x, y }: ReturnType<typeof layOut>,
  across: MeasureColumn,
  up: MeasureColumn,
): string {
  let path = '';
  for (const i of which) {
    if (!Number.isFinite(x[i]) || !Number.isFinite(y[i])) continue;
    const [w, h] = [across.u[i] * (toX(1) - toX(0)), up.u[i] * (toY(0) - toY(1))];
    if (w > 0) path += `M${(x[i] - w).toFixed(1)} ${y[i].toFixed(1)}h${(2 * w).toFixed(1)}`;
    if (h > 0) path += `M${x[i].toFixed(1)} ${(y[i] - h).toFixed(1)}v${(2 * h).toFixed(1)}`;
  }
  return path;
}
