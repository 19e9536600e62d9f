import { type ScaleLinear, scaleLinear } from 'd3-scale';
import { useEffect, useMemo, useState } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import { RING_POINTS } from '../../drawer/lean.ts';
import type { MeanOutline, OutlineSize } from '../../drawer/meanOutline.ts';
import { Axes } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { downloadCsv } from './exportFigure.ts';
import { FarOutlines } from './FarOutlines.tsx';
import type { PieceGroup } from './groups.ts';
import { Legend } from './Legend.tsx';
import { lengthColumn } from './pieceCells.ts';
import { useGroups, useLineup, useLineupStore } from './useLineup.ts';

const [WIDTH, HEIGHT] = [960, 560];
const PLOT = { left: 64, right: WIDTH - 24, top: 56, bottom: HEIGHT - 52 } as const;
/** Up to so many outlines are drawn one by one. */
const MOST_SINGLE = 300;

type Scale = ScaleLinear<number, number>;

/** Outlines laid on each other, with the mean of each group and its spread. */
export function OutlinesView({ collection }: { collection: Collection }) {
  const lineup = useLineupStore();
  const picked = useLineup((state) => state.picked);
  const groups = useGroups(collection);
  const [size, setSize] = useState<OutlineSize>('true');
  const [single, setSingle] = useState(true);
  const means = useMeans(groups, size);
  const { toX, toY } = useMemo(() => scalesFor(collection, size), [collection, size]);
  const few = collection.keys.length <= MOST_SINGLE;
  const ringOf = (i: number): string => {
    const scale = size === 'unit' ? 1 / collection.sizes[i] : 1;
    const from = i * RING_POINTS * 2;
    return pathOf(
      collection.rings.subarray(from, from + RING_POINTS * 2).map((v) => v * scale),
      toX,
      toY,
    );
  };
  const unit = size === 'true' ? 'mm' : 'of √area';
  return (
    <>
      <div className="lineup-controls">
        <label>
          <span>Size</span>
          <select value={size} onChange={({ currentTarget }) => setSize(currentTarget.value as OutlineSize)}>
            <option value="true">true size</option>
            <option value="unit">unit area</option>
          </select>
        </label>
        <label>
          <input
            type="checkbox"
            checked={single && few}
            disabled={!few}
            onChange={() => setSingle(!single)}
          />
          <span>{few ? 'Each outline' : `Each outline (up to ${MOST_SINGLE} pieces)`}</span>
        </label>
      </div>
      <ChartFrame
        file={`outlines-${size}`}
        label="Outlines"
        width={WIDTH}
        height={HEIGHT}
        caption={`Outlines seen on Face A, tip up, length axes upright, laid on their centroids${size === 'unit' ? ' and divided by the square root of their area' : ''}. Heavy line: mean of points at equal shares of arc length from tip to base on each side; band: one standard deviation square to it.`}
        spotsOf={null}
        picked={picked}
        onPick={lineup.pick}
        onCsv={() => saveMeans(groups, means, unit)}
      >
        <Axes toX={toX} toY={toY} x={`Across, ${unit}`} y={`Along, ${unit}`} />
        <Legend groups={groups} x={PLOT.left} y={20} />
        {single &&
          few &&
          groups.map(({ name, which }, g) => (
            <path key={name} className={`outline stroke-${g}`} d={Array.from(which, ringOf).join('')} />
          ))}
        {means.map((mean, g) => (
          <g key={groups[g]?.name ?? g}>
            {mean.n > 1 && (
              <path
                className={`spread fill-${g}`}
                fillRule="evenodd"
                d={pathOf(mean.outer, toX, toY) + pathOf(mean.inner, toX, toY)}
              />
            )}
            <path className={`mean stroke-${g}`} d={pathOf(mean.mean, toX, toY)} />
          </g>
        ))}
        {picked.map((key) => {
          const i = collection.keys.indexOf(key);
          return i >= 0 && <path key={key} className="line" d={ringOf(i)} />;
        })}
      </ChartFrame>
      <FarOutlines collection={collection} groups={groups} means={means} unit={unit} />
    </>
  );
}

/** Means by the worker; those of the last question until the new ones are there. */
function useMeans(groups: readonly PieceGroup[], size: OutlineSize): readonly MeanOutline[] {
  const lineup = useLineupStore();
  const [means, setMeans] = useState<readonly MeanOutline[]>([]);
  useEffect(() => {
    let wanted = true;
    const asked = groups.map(({ which }) => which);
    void lineup
      .worker()
      .means(asked, size)
      .then((found) => wanted && setMeans(found));
    return () => {
      wanted = false;
    };
  }, [lineup, groups, size]);
  return means;
}

/** One scale for both directions, so that nothing is squeezed. */
function scalesFor(
  { rings, sizes }: Collection,
  size: OutlineSize,
): { readonly toX: Scale; readonly toY: Scale } {
  let reach = 0;
  for (let j = 0; j < rings.length; j++) {
    const scale = size === 'unit' ? 1 / sizes[Math.floor(j / (RING_POINTS * 2))] : 1;
    reach = Math.max(reach, Math.abs(rings[j] * scale));
  }
  reach = reach * 1.05 || 1;
  const half = (PLOT.bottom - PLOT.top) / 2;
  const wide = (reach * (PLOT.right - PLOT.left)) / 2 / half;
  return {
    toX: scaleLinear([-wide, wide], [PLOT.left, PLOT.right]),
    toY: scaleLinear([-reach, reach], [PLOT.bottom, PLOT.top]),
  };
}

export function pathOf(
  ring: ArrayLike<number>,
  toX: (v: number) => number,
  toY: (v: number) => number,
): string {
  let path = '';
  for (let j = 0; j + 1 < ring.length; j += 2) {
    path += `${j === 0 ? 'M' : 'L'}${toX(ring[j]).toFixed(1)} ${toY(ring[j + 1]).toFixed(1)}`;
  }
  return `${path}Z`;
}

function saveMeans(groups: readonly PieceGroup[], means: readonly MeanOutline[], unit: string): void {
  downloadCsv(
    'outlines-mean',
    ['group', 'point', ...['x', 'y', 'spread'].map((name) => lengthColumn(name, unit))],
    means.flatMap(({ mean, spread }, g) =>
      Array.from({ length: RING_POINTS }, (_, p) => [
        groups[g].name,
        p + 1,
        mean[2 * p],
        mean[2 * p + 1],
        spread[p],
      ]),
    ),
  );
}
