import { crossingsOfColumn, planarCurve, sampleCurve } from '../geometry/curvePlanar.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import { type Rough, roughOf } from '../record/rough.ts';
import type { Pair, SpecimenRecord } from '../record/schema.ts';

/** Points of an outline kept on each side, tip and base included. */
export const SIDE_POINTS = 61;
/** Points of the whole ring: both ends count once. */
export const RING_POINTS = 2 * (SIDE_POINTS - 1);
/** Numbers of one harmonic's coefficients, and harmonics kept. */
export const FOURIER_NUMBERS = 80;

/** How the pieces of a collection may be told into groups. */
export const GROUPINGS = {
  collection: 'Collection',
  material: 'Raw material',
  blank: 'Blank',
  condition: 'Condition',
  heat: 'Heat alteration',
  observer: 'Observer',
  occasion: 'Occasion',
  kind: 'Scan or photo',
  form: 'Section at mid-length',
} as const;

export type Grouping = keyof typeof GROUPINGS;

/** What comparing needs of one piece: a hundredth of its record. */
export interface LeanPiece {
  /** Tells the piece apart from all others here. */
  readonly key: string;
  readonly name: string;
  /** Catalogue number, where there is one. */
  readonly number: string | undefined;
  /** Name of the source's file, without its ending. */
  readonly file: string;
  readonly groups: Readonly<Partial<Record<Grouping, string>>>;
  readonly values: ReadonlyMap<
    string,
    { readonly value: number; readonly u: number; readonly rough?: Rough }
  >;
  /** RING_POINTS x y pairs, mm, about the centroid of the area, tip up: down the left side from the tip, up the right. */
  readonly ring: Float32Array;
  /** Square root of the outline's area, mm. */
  readonly size: number;
  /** a b c d of each harmonic, normalised as the record has them; NaN where the record has none. */
  readonly fourier: Float64Array;
}

/** The lean part of a record. */
export function toLean(record: SpecimenRecord, key: string, name: string = nameOf(record)): LeanPiece {
  const values = new Map<string, { value: number; u: number; rough?: Rough }>();
  for (const measurement of record.measurements) {
    const { id, value, u } = measurement;
    const rough = roughOf(measurement);
    if (typeof value === 'number') values.set(id, { value, u: u ?? NaN, ...(rough && { rough }) });
  }
  const { ring, size } = pairedRing(record.outline.outer);
  const number = record.catalogue.number || undefined;
  const file = stemOf(record.source.file);
  return {
    key,
    name,
    number,
    file,
    groups: groupsOf(record),
    values,
    ring,
    size,
    fourier: fourierOf(record),
  };
}

export function nameOf({ catalogue, source }: SpecimenRecord): string {
  return catalogue.number || stemOf(source.file);
}

function stemOf(file: string): string {
  return file.replace(/(?<=.)\.[^.]*$/, '');
}

function groupsOf({ catalogue, source, measurements }: SpecimenRecord): LeanPiece['groups'] {
  const { collection, material, blank, condition, heat, observer, occasion } = catalogue;
  const form = measurements.find(({ id }) => id === 'section.50.form')?.value;
  const all = { collection, material, blank, condition, heat, observer, occasion, kind: source.kind, form };
  return Object.fromEntries(
    Object.entries(all).filter(([, value]) => typeof value === 'string' && value !== ''),
  );
}

/**
 * Points that answer to each other from piece to piece: equal shares of arc length from where the length axis leaves the
 * outline at the tip to where it leaves it at the base, on either side.
 */
function pairedRing(outer: readonly Pair[]): { readonly ring: Float32Array; readonly size: number } {
  const points: Points2 = Float64Array.from(outer.flat());
  const curve = planarCurve(points);
  const { tip, base } = endsOf(points);
  // The ring runs counter-clockwise: from the tip down the left side.
  const down = ((base - tip) % curve.length) + (base < tip ? curve.length : 0);
  const left = sampleCurve(curve, tip, tip + down, SIDE_POINTS);
  const right = sampleCurve(curve, tip + down, tip + curve.length, SIDE_POINTS);
  const { x, y, area } = polygonMoments([points]);
  const ring = new Float32Array(2 * RING_POINTS);
  for (let k = 0; k < RING_POINTS; k++) {
    const [side, i] = k < SIDE_POINTS - 1 ? [left, k] : [right, k - (SIDE_POINTS - 1)];
    ring[2 * k] = side[2 * i] - x;
    ring[2 * k + 1] = side[2 * i + 1] - y;
  }
  return { ring, size: Math.sqrt(area) };
}

/** Arc lengths of the tip and the base. An outline that its axis misses is taken at its greatest and least y. */
function endsOf(points: Points2): { readonly tip: number; readonly base: number } {
  const curve = planarCurve(points);
  let ends = crossingsOfColumn(curve, 0);
  if (ends.length < 2) ends = Array.from(curve.arc, (arc, i) => ({ arc, y: points[2 * i + 1] }));
  const tip = ends.reduce((best, end) => (end.y > best.y ? end : best));
  const base = ends.reduce((best, end) => (end.y < best.y ? end : best));
  return { tip: tip.arc, base: base.arc };
}

function fourierOf({ series }: SpecimenRecord): Float64Array {
  const out = new Float64Array(FOURIER_NUMBERS).fill(NaN);
  const table = series.fourier;
  if (table === undefined) return out;
  const columns = [table.a, table.b, table.c, table.d];
  for (let i = 0; i < FOURIER_NUMBERS; i++) {
    const cell = columns[i % 4]?.[Math.floor(i / 4)];
    if (typeof cell === 'number') out[i] = cell;
  }
  return out;
}
