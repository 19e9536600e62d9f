import type { MeasureRow } from '../measures/types.ts';
import { type Cell, writeCsv } from '../record/csv.ts';
import { roundFigures } from '../record/rounding.ts';
import { type ComparedPiece, sameNumber } from './comparedPiece.ts';
import type { HandTable } from './handTable.ts';
import { type Agreement, agreement } from './statsAgreement.ts';
import { unitSlip } from './unitSlip.ts';

/** One measure of one piece, by hand and computed, in the measure's unit. */
export interface HandPair {
  readonly number: string;
  /** Key and name of the piece. */
  readonly key: string;
  readonly name: string;
  readonly hand: number;
  readonly computed: number;
  readonly u: number | undefined;
  /** Units that were probably mixed up in this reading; null where none were. */
  readonly slip: string | null;
}

export interface HandMeasure {
  readonly measure: MeasureRow;
  readonly pairs: readonly HandPair[];
  /** Hand less computed, over the pairs without a likely unit error. */
  readonly limits: Agreement;
  /** Units that were probably mixed up in the whole column. */
  readonly slip: string | null;
}

export interface Unmatched {
  readonly side: 'hand' | 'record';
  /** Catalogue number, or name of a record without one. */
  readonly number: string;
  /** Row of the table, or name of the record. */
  readonly where: string;
  readonly why: string;
}

export interface HandComparison {
  readonly measures: readonly HandMeasure[];
  readonly pieces: number;
  readonly unmatched: readonly Unmatched[];
}

interface Side<T> {
  readonly number: string;
  readonly where: string;
  readonly item: T;
}

/**
 * Lays hand measurements beside records. A row and a record belong together when their catalogue numbers are alike but for
 * case, spaces and Unicode form; a record without a number goes by its name. A number that stands twice on one side is
 * matched with nothing: which of the two is meant can't be told.
 */
export function compareHand(table: HandTable, pieces: readonly ComparedPiece[]): HandComparison {
  const hand = bySide(table.rows.map((item) => ({ number: item.number, where: `row ${item.row}`, item })));
  const ours = bySide(pieces.map((item) => ({ number: item.number ?? item.name, where: item.name, item })));
  const unmatched: Unmatched[] = [
    ...lonely('hand', hand, ours, 'no record has this catalogue number'),
    ...lonely('record', ours, hand, 'no row of the table has this catalogue number'),
  ];
  const matched = [...hand].flatMap(([key, rows]) => {
    const found = ours.get(key);
    return rows.length === 1 && found?.length === 1 && key !== '' ? [[rows[0], found[0].item] as const] : [];
  });
  const measures = table.columns.map(({ measure }, k): HandMeasure => {
    const pairs = matched.flatMap(([{ number, item }, { key, name, values }]): HandPair[] => {
      const read = item.values[k];
      const measured = values.get(measure.id);
      if (read === undefined || measured === undefined) return [];
      const slip = slipOf(measure, [[read, measured.value]]);
      return [{ number, key, name, hand: read, computed: measured.value, u: measured.u, slip }];
    });
    const sound = pairs.filter(({ slip }) => slip === null);
    return {
      measure,
      pairs,
      limits: agreement(
        sound.map(({ computed }) => computed),
        sound.map(({ hand: read }) => read),
      ),
      slip: slipOf(
        measure,
        pairs.map(({ hand: read, computed }) => [read, computed]),
      ),
    };
  });
  return { measures, pieces: matched.length, unmatched };
}

/** Only a length shows the factor between two units of length as it is. */
function slipOf({ unit }: MeasureRow, pairs: readonly (readonly [number, number])[]): string | null {
  return unit === 'mm' && pairs.every(([read, computed]) => read > 0 && computed > 0)
    ? unitSlip(pairs)
    : null;
}

function bySide<T>(sides: readonly Side<T>[]): Map<string, Side<T>[]> {
  const found = new Map<string, Side<T>[]>();
  for (const side of sides) {
    const key = sameNumber(side.number);
    found.set(key, [...(found.get(key) ?? []), side]);
  }
  return found;
}

function lonely<T, U>(
  side: Unmatched['side'],
  mine: ReadonlyMap<string, readonly Side<T>[]>,
  others: ReadonlyMap<string, readonly Side<U>[]>,
  nowhere: string,
): Unmatched[] {
  return [...mine].flatMap(([key, same]) => {
    const across = others.get(key)?.length ?? 0;
    if (key !== '' && same.length === 1 && across === 1) return [];
    const why =
      key === ''
        ? 'it has no catalogue number'
        : same.length > 1
          ? 'the catalogue number stands here more than once'
          : across > 1
            ? 'the catalogue number stands on the other side more than once'
            : nowhere;
    return same.map(({ number, where }) => ({ side, number, where, why }));
  });
}

const FIGURES = 6;
const round = (value: number | undefined): Cell =>
  value === undefined ? undefined : roundFigures(value, FIGURES);

/** One row a measure: bias and limits of agreement with their intervals, hand less computed. */
export function handAgreementCsv({ measures }: HandComparison): string {
  const header = [
    ...['id', 'name', 'unit', 'pieces', 'left_out', 'bias', 'bias_low', 'bias_high', 'sd'],
    ...['lower', 'lower_low', 'lower_high', 'upper', 'upper_low', 'upper_high', 'likely_unit_error'],
  ];
  return writeCsv(
    header,
    measures.map(({ measure: { id, name, unit }, pairs, limits, slip }) => [
      ...[id, name, unit, limits.n, pairs.length - limits.n],
      ...[limits.bias, limits.biasInterval.low, limits.biasInterval.high, limits.sd].map(round),
      ...[limits.lower, limits.lowerInterval.low, limits.lowerInterval.high].map(round),
      ...[limits.upper, limits.upperInterval.low, limits.upperInterval.high].map(round),
      slip,
    ]),
  );
}

/** One row a piece and measure. */
export function handDifferencesCsv({ measures }: HandComparison): string {
  return writeCsv(
    [
      ...['catalogue_number', 'name', 'measure', 'unit', 'hand', 'computed', 'u', 'difference'],
      'likely_unit_error',
    ],
    measures.flatMap(({ measure, pairs }) =>
      pairs.map(({ number, name, hand, computed, u, slip }) => [
        ...[number, name, measure.id, measure.unit, hand, computed, u],
        roundFigures(hand - computed, FIGURES),
        slip,
      ]),
    ),
  );
}

/** One row a row or record that could not be matched. */
export function handUnmatchedCsv({ unmatched }: HandComparison): string {
  return writeCsv(
    ['side', 'catalogue_number', 'where', 'why'],
    unmatched.map(({ side, number, where, why }) => [side, number, where, why]),
  );
}
