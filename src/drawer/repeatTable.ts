import { type Cell, writeCsv } from '../record/csv.ts';
import { roundFigures } from '../record/rounding.ts';
import type { RepeatMeasure, RepeatSet } from './repeatTypes.ts';
import type { IccForm } from './statsIcc.ts';

const FORMS: readonly IccForm[] = ['1,1', '2,1', '3,1', '1,k', '2,k', '3,k'];
/** Figures of a statistic: more than it can carry, few enough to be the same on every machine. */
const FIGURES = 6;

/** One row a measure: technical errors, reliability, intraclass correlations with their intervals. */
export function repeatCsv({ measures }: RepeatSet): string {
  const header = [
    ...['id', 'name', 'unit', 'pieces', 'readings', 'mean', 'tem', 'tem_percent', 'reliability'],
    ...[
      'tem_intra',
      'tem_intra_percent',
      'tem_inter',
      'tem_inter_percent',
      'u_stated',
      'icc_pieces',
      'icc_k',
    ],
    ...FORMS.flatMap((form) => {
      const name = `icc_${form.replace(',', '_')}`;
      return [name, `${name}_low`, `${name}_high`];
    }),
  ];
  return writeCsv(header, measures.map(measureRow));
}

function measureRow(measure: RepeatMeasure): Cell[] {
  const { id, name, unit, all, intra, inter, statedU, icc, iccPieces, iccColumns } = measure;
  const numbers = [all.mean, all.tem, all.percent, all.reliability];
  const parts = [intra.tem, intra.percent, inter.tem, inter.percent, statedU];
  return [
    ...[id, name, unit, all.pieces, all.measurements],
    ...[...numbers, ...parts].map(round),
    ...(icc.length === 0 ? [undefined, undefined] : [iccPieces, iccColumns]),
    ...FORMS.flatMap((form) => {
      const found = icc.find((one) => one.form === form);
      return [found?.value, found?.interval.low, found?.interval.high].map(round);
    }),
  ];
}

/** One row a measure and pair of raters: bias and limits of agreement with their intervals, second less first. */
export function agreementCsv({ measures }: RepeatSet): string {
  const header = [
    ...['id', 'name', 'unit', 'first', 'second', 'pieces', 'bias', 'bias_low', 'bias_high', 'sd'],
    ...['lower', 'lower_low', 'lower_high', 'upper', 'upper_low', 'upper_high'],
  ];
  return writeCsv(
    header,
    measures.flatMap(({ id, name, unit, pairs }) =>
      pairs.map(({ first, second, limits: l }) => [
        ...[id, name, unit, first, second, l.n],
        ...[l.bias, l.biasInterval.low, l.biasInterval.high, l.sd].map(round),
        ...[l.lower, l.lowerInterval.low, l.lowerInterval.high].map(round),
        ...[l.upper, l.upperInterval.low, l.upperInterval.high].map(round),
      ]),
    ),
  );
}

/** One row a reading and measure: what everything else follows from. */
export function readingsCsv({ readings, measures }: RepeatSet): string {
  return writeCsv(
    ['piece', 'observer', 'record', 'id', 'value', 'u'],
    readings.flatMap(({ piece, rater, label, values }) =>
      measures.flatMap(({ id }): Cell[][] => {
        const found = values.get(id);
        return found === undefined ? [] : [[piece, rater, label, id, found.value, found.u]];
      }),
    ),
  );
}

function round(value: number | undefined): number | undefined {
  return value === undefined || !Number.isFinite(value) ? undefined : roundFigures(value, FIGURES);
}
