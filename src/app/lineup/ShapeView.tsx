import { scaleLinear } from 'd3-scale';
import { memo, useCallback, useEffect, useMemo, useState } from 'react';
import type { Collection } from '../../drawer/collection.ts';
import { SHAPE_REACH, type ShapeSpace } from '../../drawer/shapeSpace.ts';
import { Axes, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { downloadCsv } from './exportFigure.ts';
import type { PieceGroup } from './groups.ts';
import { Legend } from './Legend.tsx';
import { markRadius, marksPath } from './marks.ts';
import { pathOf } from './OutlinesView.tsx';
import { PIECE_COLUMNS, pieceCells } from './pieceCells.ts';
import { useGroups, useLineup, useLineupStore } from './useLineup.ts';

const [WIDTH, HEIGHT] = [960, 580];
/** The plot leaves room for the outlines that the axes stand for: below for the level one, left for the upright one. */
const PLOT = { left: 170, right: WIDTH - 24, top: 56, bottom: HEIGHT - 160 } as const;
const PICTURE = 46;

/** Shapes of outlines without size: principal components of their Fourier coefficients, and what the axes stand for. */
export function ShapeView({ collection }: { collection: Collection }) {
  const space = useShapeSpace(collection);
  const [pair, setPair] = useState('0 1');
  if (space === undefined) return <p className="soft">The shapes are being compared.</p>;
  if (space === null || space.axes.length < 2)
    return <p className="soft">Shapes can be compared from three pieces on.</p>;
  const pairs = space.axes.flatMap((_, a) => space.axes.slice(a + 1).map((__, k) => [a, a + 1 + k] as const));
  const [across, up] = pair.split(' ').map(Number);
  return (
    <>
      <div className="lineup-controls">
        <label>
          <span>Axes</span>
          <select value={pair} onChange={({ currentTarget }) => setPair(currentTarget.value)}>
            {pairs.map(([a, b]) => (
              <option key={`${a} ${b}`} value={`${a} ${b}`}>
                {a + 1} and {b + 1}
              </option>
            ))}
          </select>
        </label>
      </div>
      <ShapeChart collection={collection} space={space} across={across} up={up} />
    </>
  );
}

interface ShapeChartProps {
  readonly collection: Collection;
  readonly space: ShapeSpace;
  readonly across: number;
  readonly up: number;
}

function ShapeChart({ collection, space, across, up }: ShapeChartProps) {
  const lineup = useLineupStore();
  const picked = useLineup((state) => state.picked);
  const groups = useGroups(collection);
  const laid = useMemo(() => layOut(collection, space, across, up), [collection, space, across, up]);
  const spotsOf = useCallback(() => laid.spots, [laid]);
  return (
    <ChartFrame
      file={`shapes-${across + 1}-${up + 1}`}
      label="Shape space"
      width={WIDTH}
      height={HEIGHT}
      caption={`Outlines of ${space.which.length} pieces as seen on Face A, free of size, place and turn: principal components of 20 elliptic Fourier harmonics (covariance). Grey outlines: the shapes ${SHAPE_REACH} standard deviations from the mean along each axis, and the mean.`}
      spotsOf={spotsOf}
      picked={picked}
      onPick={lineup.pick}
      onCsv={() =>
        downloadCsv(
          'shapes',
          [...PIECE_COLUMNS, ...space.axes.map((_, k) => `axis_${k + 1}`)],
          Array.from(space.which, (i, row) => [
            ...pieceCells(collection, i),
            ...space.axes.map(({ scores }) => scores[row]),
          ]),
        )
      }
    >
      <Space space={space} groups={groups} laid={laid} across={across} up={up} />
    </ChartFrame>
  );
}

function layOut(collection: Collection, space: ShapeSpace, across: number, up: number) {
  const [a, b] = [space.axes[across], space.axes[up]];
  const ends = (sd: number): number[] => [-SHAPE_REACH * sd, SHAPE_REACH * sd];
  const toX = scaleLinear(roomy(a.scores, ends(a.sd)), [PLOT.left, PLOT.right]);
  const toY = scaleLinear(roomy(b.scores, ends(b.sd)), [PLOT.bottom, PLOT.top]);
  const spots = Array.from(space.which, (i, row) => ({
    key: collection.keys[i],
    name: collection.names[i],
    x: toX(a.scores[row]),
    y: toY(b.scores[row]),
  }));
  return { toX, toY, spots, rowOf: new Map(Array.from(space.which, (i, row) => [i, row])) };
}

interface SpaceProps {
  readonly space: ShapeSpace;
  readonly groups: readonly PieceGroup[];
  readonly laid: ReturnType<typeof layOut>;
  readonly across: number;
  readonly up: number;
}

const Space = memo(function Space({ space, groups, laid, across, up }: SpaceProps) {
  const { toX, toY, spots, rowOf } = laid;
  const [a, b] = [space.axes[across], space.axes[up]];
  const title = (k: number): string =>
    `Axis ${k + 1}: ${(100 * space.axes[k].share).toFixed(0)} % of variance`;
  const below = HEIGHT - 58;
  return (
    <>
      <Axes toX={toX} toY={toY} x={title(across)} y={title(up)} />
      <Legend groups={groups} x={PLOT.left} y={20} />
      <line className="zero" x1={toX(0)} x2={toX(0)} y1={PLOT.top} y2={PLOT.bottom} />
      <line className="zero" x1={PLOT.left} x2={PLOT.right} y1={toY(0)} y2={toY(0)} />
      <Picture ring={a.low} x={toX(-SHAPE_REACH * a.sd)} y={below} />
      <Picture ring={space.mean} x={toX(0)} y={below} />
      <Picture ring={a.high} x={toX(SHAPE_REACH * a.sd)} y={below} />
      <Picture ring={b.low} x={66} y={toY(-SHAPE_REACH * b.sd)} />
      <Picture ring={b.high} x={66} y={toY(SHAPE_REACH * b.sd)} />
      {groups.map(({ name, which }, g) => {
        const own = Array.from(which, (i) => rowOf.get(i)).filter((row) => row !== undefined);
        const [x, y] = [own.map((row) => spots[row].x), own.map((row) => spots[row].y)];
        return (
          <path key={name} className={`mark fill-${g}`} d={marksPath(g, x, y, markRadius(spots.length))} />
        );
      })}
    </>
  );
});

function Picture({ ring, x, y }: { ring: ArrayLike<number>; x: number; y: number }) {
  return (
    <path
      className="shape"
      d={pathOf(
        ring,
        (v) => x + PICTURE * v,
        (v) => y - PICTURE * v,
      )}
    />
  );
}

/** Undefined while the worker is at it. */
function useShapeSpace(collection: Collection): ShapeSpace | null | undefined {
  const lineup = useLineupStore();
  const [found, setFound] = useState<{ of: Collection; space: ShapeSpace | null }>();
  useEffect(() => {
    let wanted = true;
    void lineup
      .worker()
      .shapes(Int32Array.from(collection.keys, (_, i) => i))
      .then((space) => wanted && setFound({ of: collection, space }));
    return () => {
      wanted = false;
    };
  }, [lineup, collection]);
  return found?.of === collection ? found.space : undefined;
}
