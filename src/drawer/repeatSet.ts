import { group, mean } from 'd3-array';
import { catalogueRows } from '../measures/catalogue.ts';
import type { MeasureRow } from '../measures/types.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { valuesOf } from './comparedPiece.ts';
import type { PairAgreement, Reading, RepeatMeasure, RepeatSet } from './repeatTypes.ts';
import { agreement } from './statsAgreement.ts';
import { type Icc, intraclass } from './statsIcc.ts';
import { technicalError } from './statsTem.ts';

/** A record as one reading. */
export function toReading(record: SpecimenRecord, piece: string, rater: string, label: string): Reading {
  return { piece, rater, label, values: valuesOf(record) };
}

/**
 * Readings of pieces that were measured more than once, condensed measure by measure in the order of the catalogue.
 * `only`: ids of measures; all that any reading has otherwise.
 */
export function repeatSet(readings: readonly Reading[], only?: readonly string[]): RepeatSet {
  const byPiece = group(readings, ({ piece }) => piece);
  const repeated = [...byPiece].filter(([, own]) => own.length > 1);
  const kept = repeated.flatMap(([, own]) => own);
  const raters = [...new Set(kept.map(({ rater }) => rater))];
  const rows = catalogueRows().filter(
    ({ id, unit }) => unit !== 'text' && (only === undefined || only.includes(id)),
  );
  const pieces = repeated.map(([piece]) => piece);
  return {
    pieces,
    raters,
    readings: kept,
    single: [...byPiece].filter(([, own]) => own.length === 1).map(([piece]) => piece),
    measures: rows
      .filter(({ id }) => kept.some(({ values }) => values.has(id)))
      .map((row) => condense(row, pieces, raters, kept)),
  };
}

function condense(
  { id, name, unit }: MeasureRow,
  pieces: readonly string[],
  raters: readonly string[],
  readings: readonly Reading[],
): RepeatMeasure {
  const cells = cellsOf(id, pieces, raters, readings);
  const all = cells.map((row) => row.flat());
  const means = cells.map((row) => row.map((cell) => mean(cell) ?? NaN));
  const table = raters.length > 1 ? means.filter((row) => row.every(Number.isFinite)) : trials(all);
  const stated = readings.map(({ values }) => values.get(id)?.u).filter((u) => u !== undefined);
  return {
    id,
    name,
    unit,
    all: technicalError(all),
    intra: technicalError(cells.flat()),
    inter: technicalError(means),
    statedU: Math.sqrt(mean(stated, (u) => u * u) ?? NaN),
    icc: iccOf(table, raters.length > 1),
    iccPieces: table.length,
    iccColumns: table[0]?.length ?? 0,
    pairs: pairsOf(raters, pieces, means),
    deviations: all
      .filter(({ length }) => length > 1)
      .flatMap((row) => {
        const centre = mean(row) ?? NaN;
        return row.map((value) => ({ mean: centre, deviation: value - centre }));
      }),
  };
}

/** cells[piece][rater]: the values of that rater on that piece, in the order of the readings. */
function cellsOf(
  id: string,
  pieces: readonly string[],
  raters: readonly string[],
  readings: readonly Reading[],
): number[][][] {
  const pieceAt = new Map(pieces.map((piece, i) => [piece, i]));
  const raterAt = new Map(raters.map((rater, i) => [rater, i]));
  const cells = pieces.map(() => raters.map((): number[] => []));
  for (const { piece, rater, values } of readings) {
    const found = values.get(id);
    const [p, r] = [pieceAt.get(piece), raterAt.get(rater)];
    if (found !== undefined && p !== undefined && r !== undefined) cells[p][r].push(found.value);
  }
  return cells;
}

/** Repeats by nobody in particular: as many of each piece as every piece has. */
function trials(all: readonly number[][]): number[][] {
  const repeated = all.filter(({ length }) => length > 1);
  const count = Math.min(...repeated.map(({ length }) => length));
  return repeated.map((row) => row.slice(0, count));
}

/** Which trial came first means nothing: without raters only the one-way forms say something. */
function iccOf(table: readonly number[][], rated: boolean): readonly Icc[] {
  if (table.length < 2 || table[0].length < 2) return [];
  const all = intraclass(table).filter(({ value }) => Number.isFinite(value));
  return rated ? all : all.filter(({ form }) => form.startsWith('1'));
}

function pairsOf(
  raters: readonly string[],
  pieces: readonly string[],
  means: readonly number[][],
): PairAgreement[] {
  return raters.flatMap((first, a) =>
    raters.slice(a + 1).flatMap((second, offset): PairAgreement[] => {
      const b = a + 1 + offset;
      const both = means.flatMap((row, i) =>
        Number.isFinite(row[a]) && Number.isFinite(row[b])
          ? [{ piece: pieces[i], a: row[a], b: row[b] }]
          : [],
      );
      if (both.length === 0) return [];
      return [
        {
          first,
          second,
          pieces: both.map(({ piece }) => piece),
          means: both.map((pair) => (pair.a + pair.b) / 2),
          differences: both.map((pair) => pair.b - pair.a),
          limits: agreement(
            both.map((pair) => pair.a),
            both.map((pair) => pair.b),
          ),
        },
      ];
    }),
  );
}
