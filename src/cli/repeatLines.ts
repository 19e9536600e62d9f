import type { RepeatMeasure, RepeatSet } from '../drawer/repeatTypes.ts';

const HEADINGS = ['measure', 'TEM', '% TEM', 'within', 'between', 'u stated', 'ICC', 'of'];

/** A repeat set in columns, and what it rests on in sentences. */
export function repeatLines(set: RepeatSet): string[] {
  const { pieces, readings, raters, single, measures } = set;
  const by = raters.length > 1 ? ` by ${raters.map((rater) => rater || '(not named)').join(', ')}` : '';
  const cells = [HEADINGS, ...measures.map(rowOf)];
  const widths = HEADINGS.map((_, column) => Math.max(...cells.map((row) => row[column].length)));
  return [
    `${count(pieces.length, 'piece')} with ${count(readings.length, 'reading')}${by}.`,
    ...(single.length === 0 ? [] : [`Measured once and left out: ${single.join(', ')}.`]),
    '',
    ...cells.map((row) =>
      row
        .map((cell, column) => (column === 0 ? cell.padEnd(widths[0]) : cell.padStart(widths[column])))
        .join('  ')
        .trimEnd(),
    ),
    ...(raters.length > 1 ? [''] : []),
    ...measures.flatMap(agreementLines),
    '',
    'TEM: technical error of measurement, in the unit of the measure (Ulijaszek & Kerr 1999); within: by one observer; between: of observers’ means.',
    'ICC: (2,1) of named observers, (1,1) otherwise, with its 95 % interval (Shrout & Fleiss 1979).',
  ];
}

function rowOf({
  name,
  unit,
  all,
  intra,
  inter,
  statedU,
  icc,
  iccPieces,
  iccColumns,
}: RepeatMeasure): string[] {
  const shown = icc.find(({ form }) => form === '2,1') ?? icc.find(({ form }) => form === '1,1');
  const sign = ['1', 'count'].includes(unit) ? '' : ` (${unit})`;
  const interval =
    shown === undefined || !Number.isFinite(shown.interval.low)
      ? ''
      : ` (${shown.interval.low.toFixed(3)}…${shown.interval.high.toFixed(3)})`;
  return [
    name + sign,
    ...[all.tem, all.percent, intra.tem, inter.tem, statedU].map(print),
    shown === undefined ? '–' : shown.value.toFixed(3) + interval,
    shown === undefined ? '–' : `${iccPieces} × ${iccColumns}`,
  ];
}

function agreementLines({ name, pairs }: RepeatMeasure): string[] {
  return pairs
    .filter(({ limits }) => limits.n > 1)
    .map(
      ({ first, second, limits }) =>
        `${name}, ${second} less ${first}: bias ${print(limits.bias)}, limits of agreement ${print(limits.lower)} to ${print(limits.upper)} (${limits.n} pieces)`,
    );
}

function print(value: number): string {
  if (!Number.isFinite(value)) return '–';
  return value === 0 ? '0' : String(Number(value.toPrecision(3)));
}

function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}
