import { scaleLinear } from 'd3-scale';
import { UNIT_SIGNS } from '../measures/unitSigns.ts';
import { ticks } from '../plate/scales.ts';
import { COLOUR, FONT, LINE, TYPE } from '../plate/sheetStyle.ts';
import { el, group, label, type Markup, segment } from '../plate/svg.ts';
import type { RepeatMeasure, RepeatSet } from './repeatTypes.ts';
import type { Icc } from './statsIcc.ts';

/** Millimetres on paper. */
const WIDTH = 180;
const MARGIN = 12;
const ROW = 5;
const PANEL = { width: 76, height: 48, gap: 20, columns: 2 } as const;
/** Measures that get a panel of their own, at most. */
export const MOST_PANELS = 6;

/** Figure of a repeat set: technical errors and correlations of every measure, then agreement panels of the first few. */
export function repeatFigure(set: RepeatSet): string {
  const dots = set.measures.filter(({ all }) => Number.isFinite(all.tem));
  const panels = dots.slice(0, MOST_PANELS);
  const rowsTop = 30;
  const panelsTop = rowsTop + dots.length * ROW + 22;
  const rows = Math.ceil(panels.length / PANEL.columns);
  const height = panelsTop + rows * (PANEL.height + 24) + 4;
  const body = [
    label('Repeat measurements', MARGIN, 14, { class: 'title' }),
    label(headline(set), MARGIN, 20, { class: 'soft' }),
    ...dotRows(dots, rowsTop),
    ...panels.map((measure, i) => panelAt(measure, i, panelsTop)),
  ];
  const style = `text{font-family:${FONT.body};font-size:${TYPE.body}px;fill:${COLOUR.ink}}.title{font-family:${FONT.title};font-size:${TYPE.title}px}.soft{fill:${COLOUR.soft}}.small{font-size:${TYPE.small}px;fill:${COLOUR.soft}}.head{font-size:${TYPE.heading}px}`;
  return `${el(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      width: `${WIDTH}mm`,
      height: `${height}mm`,
      viewBox: `0 0 ${WIDTH} ${height}`,
      role: 'img',
      'aria-label': 'Repeat measurements',
    },
    el('style', {}, style as Markup),
    el('rect', { width: WIDTH, height, fill: COLOUR.paper }),
    ...body,
  )}\n`;
}

function headline({ pieces, readings, raters }: RepeatSet): string {
  const by = raters.length > 1 ? `, by ${raters.join(', ')}` : '';
  return `${pieces.length} ${pieces.length === 1 ? 'piece' : 'pieces'}, ${readings.length} readings${by}`;
}

/** Percent TEM on the left, the intraclass correlation with its interval on the right, a row a measure. */
function dotRows(measures: readonly RepeatMeasure[], top: number): Markup[] {
  const most = Math.max(...measures.map(({ all }) => all.percent).filter(Number.isFinite), 0.1);
  const toTem = scaleLinear([0, most], [64, 112]).nice();
  const bottom = top + measures.length * ROW;
  const chosen = measures.map((measure) => iccShown(measure));
  const toIcc = scaleLinear([leastOf(chosen), 1], [124, 166]).clamp(true);
  const form = chosen.find((icc) => icc !== undefined)?.form;
  return [
    label('TEM, % of the mean', 64, top - 3, { class: 'small' }),
    ...(form === undefined
      ? []
      : [label(`ICC(${form}) with 95 % interval`, 124, top - 3, { class: 'small' })]),
    ...grid(toTem, ticks(0, toTem.domain()[1], 4), top, bottom),
    ...(form === undefined ? [] : grid(toIcc, toIcc.ticks(4), top, bottom)),
    ...measures.flatMap((measure, i) => {
      const y = top + (i + 0.5) * ROW;
      const icc = chosen[i];
      const { percent } = measure.all;
      return [
        label(measure.name, MARGIN, y + 1, {}),
        ...(Number.isFinite(percent)
          ? [el('circle', { cx: toTem(percent), cy: y, r: 0.9, fill: COLOUR.clay })]
          : []),
        ...(icc === undefined ? [] : interval(toIcc, y, icc.value, icc.interval)),
      ];
    }),
  ];
}

/** (2,1) where raters are known: they stand for others. Otherwise (1,1). */
function iccShown({ icc }: RepeatMeasure): Icc | undefined {
  return icc.find(({ form }) => form === '2,1') ?? icc.find(({ form }) => form === '1,1');
}

/** Where the axis of correlations starts: a round tenth below all of them, 0.9 at most and 0 at least. */
function leastOf(shown: readonly (Icc | undefined)[]): number {
  const lows = shown.flatMap((icc) => (icc === undefined ? [] : [icc.value, icc.interval.low]));
  const least = Math.min(0.9, ...lows.filter(Number.isFinite));
  return Math.max(0, Math.floor(least * 10) / 10);
}

function interval(
  toX: (value: number) => number,
  y: number,
  value: number,
  { low, high }: { readonly low: number; readonly high: number },
): Markup[] {
  const line = Number.isFinite(low) && Number.isFinite(high);
  return [
    ...(line ? [segment(toX(low), y, toX(high), y, { stroke: COLOUR.slate, 'stroke-width': 0.4 })] : []),
    el('circle', { cx: toX(value), cy: y, r: 0.9, fill: COLOUR.slate }),
  ];
}

function grid(toX: (value: number) => number, at: readonly number[], top: number, bottom: number): Markup[] {
  return at.flatMap((value) => [
    segment(toX(value), top, toX(value), bottom, { stroke: COLOUR.hair, 'stroke-width': LINE.hair }),
    label(String(value), toX(value), bottom + 3.5, { class: 'small', 'text-anchor': 'middle' }),
  ]);
}

function panelAt(measure: RepeatMeasure, index: number, top: number): Markup {
  const x = MARGIN + (index % PANEL.columns) * (PANEL.width + PANEL.gap - 12);
  const y = top + Math.floor(index / PANEL.columns) * (PANEL.height + 24);
  const [pair] = measure.pairs;
  const sign = UNIT_SIGNS[measure.unit];
  const head = label(`${measure.name}${sign === '' ? '' : `, ${sign}`}`, 0, -6, { class: 'head' });
  const only = measure.pairs.length === 1 && pair.limits.n > 1;
  const drawn = only ? agreementPanel(measure) : deviationPanel(measure);
  return group({ transform: `translate(${x} ${y})` }, head, ...drawn);
}

/** Bland and Altman's picture: differences over means, with bias and limits of agreement, their intervals as bars at the side. */
function agreementPanel({ pairs: [pair] }: RepeatMeasure): Markup[] {
  const { limits } = pair;
  const bands = [limits.lowerInterval, limits.upperInterval, limits.biasInterval];
  const reach = [...pair.differences, ...bands.flatMap(({ low, high }) => [low, high]), 0];
  const frame = panelFrame(pair.means, reach, `${pair.second} less ${pair.first}`);
  const { toX, toY } = frame;
  const right = toX.range()[1];
  const line = (value: number, dash?: string): Markup =>
    segment(toX.range()[0], toY(value), right, toY(value), {
      stroke: COLOUR.slate,
      'stroke-width': LINE.thin,
      'stroke-dasharray': dash,
    });
  return [
    ...frame.drawn,
    ...bands.map(({ low, high }, i) => {
      // Right of the frame, the bias (last) beside the limits, so that no interval hides another.
      const x = right + (i === bands.length - 1 ? 3.2 : 1.6);
      return segment(x, toY(low), x, toY(high), { stroke: COLOUR.slate, 'stroke-width': 0.4 });
    }),
    line(limits.bias),
    line(limits.lower, '1.2 0.8'),
    line(limits.upper, '1.2 0.8'),
    ...points(pair.means, pair.differences, frame),
    label(note(limits.bias, limits.lower, limits.upper), 0, PANEL.height + 11.5, { class: 'small' }),
  ];
}

function note(bias: number, lower: number, upper: number): string {
  const print = (value: number): string => String(Number(value.toPrecision(3))).replace('-', '−');
  return `bias ${print(bias)}, limits of agreement ${print(lower)} to ${print(upper)}; bars: 95 %`;
}

/** Each reading less the mean of its piece, with one TEM to either side. */
function deviationPanel({ deviations, all }: RepeatMeasure): Markup[] {
  const means = deviations.map(({ mean }) => mean);
  const off = deviations.map(({ deviation }) => deviation);
  const frame = panelFrame(means, [...off, all.tem, -all.tem], 'reading less mean of its piece');
  const { toX, toY } = frame;
  return [
    ...frame.drawn,
    el('rect', {
      x: toX.range()[0],
      y: toY(all.tem),
      width: toX.range()[1] - toX.range()[0],
      height: toY(-all.tem) - toY(all.tem),
      fill: COLOUR.slate,
      'fill-opacity': 0.12,
    }),
    ...points(means, off, frame),
    label(`band: ± TEM = ${Number(all.tem.toPrecision(3))}`, 0, PANEL.height + 11.5, { class: 'small' }),
  ];
}

function panelFrame(x: readonly number[], y: readonly number[], yName: string) {
  const toX = scaleLinear(widened(x), [8, PANEL.width - 8]).nice(4);
  const toY = scaleLinear(widened(y), [PANEL.height, 0]).nice(4);
  const [left, right] = toX.range();
  const number = (value: number): string => String(value).replace('-', '−');
  const drawn = [
    ...toY.ticks(5).flatMap((value) => [
      segment(left, toY(value), right, toY(value), {
        stroke: value === 0 ? COLOUR.soft : COLOUR.hair,
        'stroke-width': LINE.hair,
      }),
      label(number(value), left - 1, toY(value) + 0.8, { class: 'small', 'text-anchor': 'end' }),
    ]),
    ...toX
      .ticks(4)
      .map((value) =>
        label(number(value), toX(value), PANEL.height + 4, { class: 'small', 'text-anchor': 'middle' }),
      ),
    label(`mean`, right, PANEL.height + 7.5, { class: 'small', 'text-anchor': 'end' }),
    label(yName, 0, -2, { class: 'small' }),
  ];
  return { toX, toY, drawn };
}

function widened(values: readonly number[]): [number, number] {
  const known = values.filter(Number.isFinite);
  const [low, high] = [Math.min(...known), Math.max(...known)];
  const room = (high - low) * 0.06 || Math.abs(high) * 0.01 || 1;
  return [low - room, high + room];
}

function points(
  x: readonly number[],
  y: readonly number[],
  { toX, toY }: { toX: (v: number) => number; toY: (v: number) => number },
): Markup[] {
  return x.map((value, i) =>
    el('circle', { cx: toX(value), cy: toY(y[i]), r: 0.8, fill: COLOUR.clay, 'fill-opacity': 0.75 }),
  );
}
