import { catalogueRows } from '../measures/catalogue.ts';
import type { MeasureUnit } from '../measures/types.ts';
import type { Rough } from '../record/rough.ts';
import { sameNumber } from './comparedPiece.ts';
import { FOURIER_NUMBERS, GROUPINGS, type Grouping, type LeanPiece, RING_POINTS } from './lean.ts';

/** One measure over a collection, in the order of its pieces. NaN where a piece has none. */
export interface MeasureColumn {
  readonly id: string;
  readonly name: string;
  readonly unit: MeasureUnit;
  readonly value: Float64Array;
  /** Standard uncertainty. */
  readonly u: Float64Array;
  /** What the value of a piece is less than, by the piece's place; nothing of the others. */
  readonly rough: ReadonlyMap<number, Rough>;
}

/** Many pieces by columns. */
export interface Collection {
  readonly keys: readonly string[];
  readonly names: readonly string[];
  /** What is the same of their catalogue numbers however they are written; of the file’s name where there is none. */
  readonly numbers: readonly string[];
  /** Places of the pieces in the order of their names: QT 41/7 before QT 41/12. */
  readonly byName: Int32Array;
  readonly groups: Readonly<Partial<Record<Grouping, readonly string[]>>>;
  readonly measures: readonly MeasureColumn[];
  /** Pieces × RING_POINTS × 2, mm, about the centroid. */
  readonly rings: Float32Array;
  /** Square root of the outline's area, mm. */
  readonly sizes: Float64Array;
  /** Pieces × FOURIER_NUMBERS. */
  readonly fourier: Float64Array;
}

/** What a piece without a word on it is grouped under. */
export const UNSAID = 'not said';

export function toCollection(pieces: readonly LeanPiece[]): Collection {
  const n = pieces.length;
  const measures = catalogueRows()
    .filter(({ unit }) => unit !== 'text')
    .map(({ id, name, unit }): MeasureColumn => {
      const value = new Float64Array(n).fill(NaN);
      const u = new Float64Array(n).fill(NaN);
      const rough = new Map<number, Rough>();
      pieces.forEach((piece, i) => {
        const found = piece.values.get(id);
        if (found === undefined) return;
        value[i] = found.value;
        u[i] = found.u;
        if (found.rough !== undefined) rough.set(i, found.rough);
      });
      return { id, name, unit, value, u, rough };
    })
    .filter(({ value }) => value.some(Number.isFinite));
  const rings = new Float32Array(n * RING_POINTS * 2);
  const fourier = new Float64Array(n * FOURIER_NUMBERS);
  pieces.forEach((piece, i) => {
    rings.set(piece.ring, i * RING_POINTS * 2);
    fourier.set(piece.fourier, i * FOURIER_NUMBERS);
  });
  return {
    keys: pieces.map(({ key }) => key),
    names: pieces.map(({ name }) => name),
    numbers: pieces.map(({ number, file }) => sameNumber(number ?? file)),
    byName: orderOfNames(pieces),
    groups: groupsOf(pieces),
    measures,
    rings,
    sizes: Float64Array.from(pieces, ({ size }) => size),
    fourier,
  };
}

function orderOfNames(pieces: readonly LeanPiece[]): Int32Array {
  const { compare } = new Intl.Collator('en', { numeric: true });
  return Int32Array.from(pieces, (_, i) => i).sort((a, b) => compare(pieces[a].name, pieces[b].name));
}

/** Only what some piece says something of. */
function groupsOf(pieces: readonly LeanPiece[]): Collection['groups'] {
  const said = (Object.keys(GROUPINGS) as Grouping[]).filter((id) =>
    pieces.some(({ groups }) => groups[id] !== undefined),
  );
  return Object.fromEntries(said.map((id) => [id, pieces.map(({ groups }) => groups[id] ?? UNSAID)]));
}
