import type { Collection, MeasureColumn } from './collection.ts';
import { places } from './statsSummary.ts';

/** A range that the literature gives for a stage of reduction. */
export interface PublishedBand {
  readonly from: number;
  readonly to: number;
  readonly label: string;
}

export interface ContinuumRow {
  readonly id: string;
  readonly name: string;
  /** In words: what the right end of the row stands for. */
  readonly towards: string;
  /** Later work has the greater value. */
  readonly rising: boolean;
  readonly bands: readonly PublishedBand[];
}

/** Ranges as they are commonly quoted of Callahan 1979 and Andrefsky 2005, from memory; never a verdict on a piece. */
export const BANDS_NOTE =
  'Bands: ranges commonly quoted for successive stages (Callahan 1979; Andrefsky 2005), given from memory. Check them against the books before citing. They do not classify a piece.';

/** The measures by which reduction is followed (common practice): along a sequence they move to the right. */
export const CONTINUUM: readonly ContinuumRow[] = [
  {
    id: 'width.thickness',
    name: 'Width / thickness',
    towards: 'thinner',
    rising: true,
    bands: [
      { from: 2, to: 3, label: '2–3' },
      { from: 3, to: 4, label: '3–4' },
      { from: 4, to: Infinity, label: '4 and more' },
    ],
  },
  {
    id: 'edge.angle.mean',
    name: 'Edge angle, mean',
    towards: 'more acute',
    rising: false,
    bands: [
      { from: 50, to: 80, label: '50–80°' },
      { from: 40, to: 50, label: '40–50°' },
      { from: 25, to: 40, label: '25–40°' },
    ],
  },
  { id: 'edge.wander', name: 'Edge wander', towards: 'straighter', rising: false, bands: [] },
  { id: 'symmetry.overlap', name: 'Mirror overlap', towards: 'more symmetric', rising: true, bands: [] },
  { id: 'humps.excess', name: 'Humps, share of volume', towards: 'fewer humps', rising: false, bands: [] },
];

/** One row laid out: the values behind it and the place of each piece, 0 (early) … 1 (late); NaN without a value. */
export interface ContinuumPlaces {
  readonly row: ContinuumRow;
  readonly unit: MeasureColumn['unit'];
  readonly value: Float64Array;
  readonly place: Float64Array;
}

/** Ranks of the pieces `which` among each other. Rows that nothing is known of are left out. */
export function continuum(collection: Collection, which: ArrayLike<number>): ContinuumPlaces[] {
  return CONTINUUM.flatMap((row): ContinuumPlaces[] => {
    const column = columnOf(collection, row.id);
    if (column === undefined) return [];
    const value = Float64Array.from(which, (i) => column.value[i]);
    const rank = places(value);
    return [{ row, unit: column.unit, value, place: row.rising ? rank : rank.map((p) => 1 - p) }];
  });
}

/** `edge.wander` stands for the mean of both sides. */
function columnOf({ measures }: Collection, id: string): Pick<MeasureColumn, 'value' | 'unit'> | undefined {
  if (id !== 'edge.wander') return measures.find((measure) => measure.id === id);
  const [left, right] = ['left', 'right'].map((side) => measures.find((m) => m.id === `edge.wander.${side}`));
  if (left === undefined || right === undefined) return undefined;
  return { unit: left.unit, value: left.value.map((v, i) => (v + right.value[i]) / 2) };
}

/** Where a band lies among the places of a row: shares of the pieces below each end, as they are drawn. */
export function bandPlaces({ row, value }: ContinuumPlaces, { from, to }: PublishedBand): [number, number] {
  const known = value.filter(Number.isFinite);
  const below = (limit: number): number => known.filter((v) => v < limit).length / known.length;
  const [low, high] = [below(from), below(to)];
  return row.rising ? [low, high] : [1 - high, 1 - low];
}
