import { scaleLinear } from 'd3-scale';
import type { RepeatMeasure } from '../../drawer/repeatTypes.ts';
import type { IccForm } from '../../drawer/statsIcc.ts';
import { LevelAxis } from './Axes.tsx';
import { ChartFrame } from './ChartFrame.tsx';
import { downloadCsv } from './exportFigure.ts';
import { marksPath } from './marks.ts';

const WIDTH = 960;
const ROW = 30;
const TOP = 44;
const TEM = [250, 560] as const;
const ICC = [620, WIDTH - 30] as const;
const NONE: readonly string[] = [];

interface RepeatChartProps {
  readonly measures: readonly RepeatMeasure[];
  readonly form: IccForm;
}

/** Technical errors of measurement on the left, intraclass correlations with their intervals on the right, a row a measure. */
export function RepeatChart({ measures, form }: RepeatChartProps) {
  const bottom = TOP + measures.length * ROW;
  const percents = measures.map(({ all }) => all.percent).filter(Number.isFinite);
  const toTem = scaleLinear([0, Math.max(0.1, ...percents)], [...TEM]).nice(4);
  const iccs = measures.map(({ icc }) => icc.find((one) => one.form === form));
  const lows = iccs.flatMap((icc) => (icc === undefined ? [] : [icc.value, icc.interval.low]));
  const least = Math.max(0, Math.floor(10 * Math.min(0.9, ...lows.filter(Number.isFinite))) / 10);
  const toIcc = scaleLinear([least, 1], [...ICC]).clamp(true);
  const some = iccs.some((icc) => icc !== undefined);
  return (
    <ChartFrame
      file={`repeat-tem-icc-${form.replace(',', '-')}`}
      label="Technical errors and intraclass correlations"
      width={WIDTH}
      height={bottom + 50}
      caption={`Left: technical error of measurement over all readings, percent of their mean (Ulijaszek & Kerr 1999). ${some ? `Right: intraclass correlation (${form}) with its 95 % interval (Shrout & Fleiss 1979)${least > 0 ? `, from ${least} on` : ', below 0 drawn at 0'}.` : 'No intraclass correlation of this form: it needs two pieces that everyone measured.'}`}
      spotsOf={null}
      picked={NONE}
      onPick={() => undefined}
      onCsv={() =>
        downloadCsv(
          'repeat-tem-icc',
          ['measure', 'tem', 'unit', 'tem_percent', 'icc_form', 'icc', 'icc_low', 'icc_high'],
          measures.map(({ id, unit, all }, i) => [
            ...[id, all.tem, unit, all.percent, form],
            ...[iccs[i]?.value, iccs[i]?.interval.low, iccs[i]?.interval.high],
          ]),
        )
      }
    >
      <LevelAxis toX={toTem} name="%TEM" top={TOP} bottom={bottom} ticks={4} />
      {some && <LevelAxis toX={toIcc} name={`ICC(${form})`} top={TOP} bottom={bottom} ticks={4} />}
      {measures.map(({ id, name, all }, i) => {
        const y = TOP + (i + 0.5) * ROW;
        const icc = iccs[i];
        return (
          <g key={id}>
            <text className="axis-name" x={16} y={y + 4}>
              {name}
            </text>
            {Number.isFinite(all.percent) && (
              <path className="mark fill-0" d={marksPath(0, [toTem(all.percent)], [y], 5)} />
            )}
            {icc !== undefined && (
              <>
                {Number.isFinite(icc.interval.low) && (
                  <line
                    className="line"
                    x1={toIcc(icc.interval.low)}
                    x2={toIcc(icc.interval.high)}
                    y1={y}
                    y2={y}
                  />
                )}
                <path className="mark fill-1" d={marksPath(1, [toIcc(icc.value)], [y], 5)} />
              </>
            )}
          </g>
        );
      })}
    </ChartFrame>
  );
}
