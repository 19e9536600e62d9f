import type { SeriesTable, SpecimenRecord } from '../../record/schema.ts';

/** A column of numbers of one of the record's series; words count as missing. Empty when the record has none. */
export function numbers(table: SeriesTable | undefined, column: string): (number | null)[] {
  return (table?.[column] ?? []).map((cell) => (typeof cell === 'number' ? cell : null));
}

/** One quantity along the length axis. */
export interface Along {
  readonly id: string;
  readonly name: string;
  /** What the name means, in words. */
  readonly words: string;
  readonly unit: string;
  readonly decimals: number;
  readonly station: readonly number[];
  readonly value: readonly (number | null)[];
  /** Drawn to both sides of zero. */
  readonly signed: boolean;
  /** Share of the stations that the scale must hold: ratios run away where the ends thin to nothing. */
  readonly bulk: number;
}

/** What the station strip shows, from the record's series. */
export function seriesAlong(record: SpecimenRecord): Along[] {
  const { halfWidths, thickness } = record.series;
  const left = numbers(halfWidths, 'left');
  const right = numbers(halfWidths, 'right');
  const width = left.map((l, i) => (l === null || right[i] === null ? null : l + right[i]));
  const half = numbers(halfWidths, 'station') as number[];
  const thick = numbers(thickness, 'station') as number[];
  const all: Along[] = [
    {
      id: 'width',
      name: 'Width',
      words: 'Width between the outermost margins',
      unit: 'mm',
      decimals: 1,
      station: half,
      value: width,
      signed: false,
      bulk: 1,
    },
    {
      id: 'difference',
      name: 'R − L',
      words: 'Right half-width less left half-width: 0 where both sides are alike',
      unit: 'mm',
      decimals: 1,
      station: half,
      value: numbers(halfWidths, 'difference'),
      signed: true,
      bulk: 1,
    },
    {
      id: 'thickness',
      name: 'Thickness',
      words: 'Greatest thickness at the station',
      unit: 'mm',
      decimals: 1,
      station: thick,
      value: numbers(thickness, 'greatest'),
      signed: false,
      bulk: 1,
    },
    {
      id: 'ratio',
      name: 'W / Th',
      words: 'Width over thickness',
      unit: '',
      decimals: 1,
      station: thick,
      value: numbers(thickness, 'widthThickness'),
      signed: false,
      bulk: 0.95,
    },
    {
      id: 'area',
      name: 'Area',
      words: 'Area of the section across the piece',
      unit: 'mm²',
      decimals: 0,
      station: thick,
      value: numbers(thickness, 'area'),
      signed: false,
      bulk: 1,
    },
  ];
  return all.filter(({ station, value }) => station.length > 1 && value.some((cell) => cell !== null));
}

/** Value at a station, straight between its neighbours; null where either is missing. */
export function valueAt({ station, value }: Along, at: number): number | null {
  const after = station.findIndex((s) => s >= at);
  if (after < 0) return null;
  const before = Math.max(0, after - 1);
  const a = value[before];
  const b = value[after];
  if (a === null || b === null) return null;
  const span = station[after] - station[before];
  return span > 0 ? a + ((b - a) * (at - station[before])) / span : b;
}
