import { scaleLinear } from 'd3-scale';
import { useMemo } from 'react';
import { withUnit } from '../../drawer/columnNames.ts';
import type { RepeatMeasure } from '../../drawer/repeatTypes.ts';
import { Axes, axisName, roomy } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { short, shortWithUnit } from './DistributionView.tsx';
import { downloadCsv } from './exportFigure.ts';
import { markRadius, marksPath } from './marks.ts';

const [WIDTH, HEIGHT] = [960, 380];
const PLOT = { left: 64, right: WIDTH - 120, top: 44, bottom: HEIGHT - 52 } as const;
const NONE: readonly string[] = [];

/** Every reading less the mean of its piece, with one technical error of measurement to either side. */
export function DeviationChart({ measure }: { measure: RepeatMeasure }) {
  const { deviations, all, id, name, unit } = measure;
  const { toX, toY } = useMemo(() => {
    const off = deviations.map(({ deviation }) => deviation);
    return {
      toX: scaleLinear(roomy(deviations.map(({ mean }) => mean)), [PLOT.left, PLOT.right]),
      toY: scaleLinear(roomy(off, [all.tem, -all.tem]), [PLOT.bottom, PLOT.top]),
    };
  }, [deviations, all]);
  return (
    <ChartFrame
      file={`repeat-${id}-deviations`}
      label={`Readings of ${name} less the mean of their piece`}
      width={WIDTH}
      height={HEIGHT}
      caption={`${name}: each reading less the mean of its piece, over that mean. Band: one technical error of measurement (TEM ${shortWithUnit(all.tem, unit)}, ${short(all.percent)} % of the mean) to either side (Ulijaszek & Kerr 1999).`}
      spotsOf={null}
      picked={NONE}
      onPick={() => undefined}
      onCsv={() =>
        downloadCsv(
          `repeat-${id}-deviations`,
          [withUnit('mean_of_piece', unit), withUnit('reading_less_mean', unit)],
          deviations.map(({ mean, deviation }) => [mean, deviation]),
        )
      }
    >
      <rect
        className="band"
        x={PLOT.left}
        width={PLOT.right - PLOT.left}
        y={toY(all.tem)}
        height={Math.max(0, toY(-all.tem) - toY(all.tem))}
      />
      <Axes
        toX={toX}
        toY={toY}
        x={axisName('Mean of the piece', unit)}
        y={axisName('Reading less mean', unit)}
      />
      <line className="zero" x1={PLOT.left} x2={PLOT.right} y1={toY(0)} y2={toY(0)} />
      <text x={PLOT.right + 8} y={toY(all.tem) + 4}>
        + TEM
      </text>
      <text x={PLOT.right + 8} y={toY(-all.tem) + 4}>
        − TEM
      </text>
      <path
        className="mark fill-0"
        d={marksPath(
          0,
          deviations.map(({ mean }) => toX(mean)),
          deviations.map(({ deviation }) => toY(deviation)),
          markRadius(deviations.length),
        )}
      />
    </ChartFrame>
  );
}
