import { scaleLinear } from 'd3-scale';
import { useCallback, useMemo } from 'react';
import type { Agreement } from '../../drawer/statsAgreement.ts';
import { Axes, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { short } from './DistributionView.tsx';
import { markRadius, marksPath } from './marks.ts';
import { useLineup } from './useLineup.ts';

const [WIDTH, HEIGHT] = [960, 420];
const PLOT = { left: 64, right: WIDTH - 150, top: 44, bottom: HEIGHT - 52 } as const;

/** One piece: what two ways of measuring said of it. */
export interface AgreementPoint {
  readonly key: string;
  readonly name: string;
  readonly mean: number;
  /** Second less first. */
  readonly difference: number;
  /** Left out of the limits. */
  readonly apart?: boolean;
}

interface AgreementChartProps {
  readonly file: string;
  readonly label: string;
  readonly points: readonly AgreementPoint[];
  readonly limits: Agreement;
  /** Names of the axes, units included. */
  readonly across: string;
  readonly up: string;
  readonly caption: string;
  readonly onPick: (key: string) => void;
  readonly onCsv: () => void;
}

/** Differences over means with bias and limits of agreement, their 95 % intervals as bars at the side (Bland & Altman 1986). */
export function AgreementChart({ points, limits, across, up, ...frame }: AgreementChartProps) {
  const picked = useLineup((state) => state.picked);
  const laid = useMemo(() => {
    const bands = [limits.lowerInterval, limits.upperInterval, limits.biasInterval];
    const reach = bands.flatMap(({ low, high }) => [low, high]).filter(Number.isFinite);
    const toX = scaleLinear(roomy(points.map(({ mean }) => mean)), [PLOT.left, PLOT.right]);
    const toY = scaleLinear(
      roomy(
        points.map(({ difference }) => difference),
        reach,
        [0],
      ),
      [PLOT.bottom, PLOT.top],
    );
    return { toX, toY };
  }, [points, limits]);
  const { toX, toY } = laid;
  const spotsOf = useCallback(
    () =>
      points.map(({ key, name, mean, difference }) => ({
        key,
        name,
        x: laid.toX(mean),
        y: laid.toY(difference),
      })),
    [points, laid],
  );
  const marks = (apart: boolean): string => {
    const own = points.filter((point) => (point.apart === true) === apart);
    const [x, y] = [own.map(({ mean }) => toX(mean)), own.map(({ difference }) => toY(difference))];
    return marksPath(apart ? 2 : 0, x, y, markRadius(points.length));
  };
  return (
    <ChartFrame {...frame} width={WIDTH} height={HEIGHT} spotsOf={spotsOf} picked={picked}>
      <Axes toX={toX} toY={toY} x={across} y={up} />
      <line className="zero" x1={PLOT.left} x2={PLOT.right} y1={toY(0)} y2={toY(0)} />
      {limits.n > 1 && (
        <>
          <Level toY={toY} name="bias" value={limits.bias} interval={limits.biasInterval} at={16} />
          <Level
            toY={toY}
            name="upper limit"
            value={limits.upper}
            interval={limits.upperInterval}
            at={10}
            dashed
          />
          <Level
            toY={toY}
            name="lower limit"
            value={limits.lower}
            interval={limits.lowerInterval}
            at={4}
            dashed
          />
        </>
      )}
      <path className="mark fill-0" d={marks(false)} />
      <path className="mark fill-1" d={marks(true)} />
    </ChartFrame>
  );
}

interface LevelProps {
  readonly toY: (value: number) => number;
  readonly name: string;
  readonly value: number;
  readonly interval: { readonly low: number; readonly high: number };
  /** How far right of the plot the interval's bar stands, so that none hides another. */
  readonly at: number;
  readonly dashed?: boolean;
}

function Level({ toY, name, value, interval, at, dashed = false }: LevelProps) {
  const y = toY(value);
  const bar = PLOT.right + at;
  return (
    <g>
      <line
        className="line"
        x1={PLOT.left}
        x2={PLOT.right}
        y1={y}
        y2={y}
        strokeDasharray={dashed ? '6 4' : undefined}
      />
      {Number.isFinite(interval.low) && (
        <line className="line" x1={bar} x2={bar} y1={toY(interval.low)} y2={toY(interval.high)} />
      )}
      <text x={PLOT.right + 26} y={y + 4}>
        {name} {short(value)}
      </text>
    </g>
  );
}
