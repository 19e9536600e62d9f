import {
  type Chord,
  type ChordIndex,
  chordAt,
  greatestChord,
  indexChords,
} from '../../../geometry/polygonChords.ts';
import type { Points2 } from '../../../geometry/types.ts';
import type { MarginPoint, Pair, RecordSection, SpecimenRecord } from '../../../record/schema.ts';
import type { Place } from './marks.ts';

/** A record with quick answers to what drawings of its measures ask. */
export interface Look {
  readonly record: SpecimenRecord;
  readonly length: number;
  /** Outer ring as x y pairs, mm. */
  readonly outer: Points2;
  readonly chords: ChordIndex;
  /** The rings of the outline on the margin plane, the outer one first. */
  readonly rings: readonly (readonly Place[])[];
  /** Value of a measure where it is a number. */
  value(id: string): number | null;
  /** Outermost margins at a height over the base, mm. */
  chord(y: number): Chord;
  /** The longest chord square to the length axis. */
  readonly greatest: Chord;
  /** The section that the record lists at a station, or at the greatest width or thickness. */
  section(at: number | 'width' | 'thickness'): RecordSection | undefined;
}

export function lookAt(record: SpecimenRecord): Look {
  const { outline } = record;
  const outer = Float64Array.from(outline.outer.flat());
  const chords = indexChords([outer]);
  const values = new Map(record.measurements.map(({ id, value }) => [id, value]));
  return {
    record,
    length: record.frame.length,
    outer,
    chords,
    rings: [outline.outer, ...outline.inner].map(flat),
    greatest: greatestChord(chords),
    value(id) {
      const value = values.get(id);
      return typeof value === 'number' ? value : null;
    },
    chord(y) {
      const level = Math.min(chords.maxY, Math.max(chords.minY, y));
      return chordAt(chords, level) ?? { y: level, left: 0, right: 0 };
    },
    section: (at) =>
      record.sections.find((section) =>
        typeof at === 'number' ? section.at === 'station' && section.station === at : section.at === at,
      ),
  };
}

/** A flat line of the plan, laid on the margin plane. */
export const flat = (pairs: readonly Pair[]): Place[] => pairs.map(([x, y]) => [x, y, 0]);

/** The rings of a section in space. */
export const loopsOf = ({ points, more, y }: RecordSection): Place[][] =>
  [points, ...more].map((loop) => loop.map(([x, z]): Place => [x, y, z]));

/** Where the section is thickest along one vertical: x, and z of both faces. Null for an empty section. */
export function thickestOf(
  section: RecordSection,
  x?: number,
): { x: number; low: number; high: number } | null {
  // Columns of the section are rows of the same rings with x and z changed about.
  const turned = [section.points, ...section.more]
    .filter((loop) => loop.length > 2)
    .map((loop) => Float64Array.from(loop.flatMap(([across, z]) => [z, across])));
  if (turned.length === 0) return null;
  const index = indexChords(turned);
  const chord = x === undefined ? greatestChord(index) : chordAt(index, x);
  return chord && { x: chord.y, low: chord.left, high: chord.right };
}

/** Stretches of the margin that pass a test, in order, as they lie in space. */
export function stretches(
  { margin }: SpecimenRecord,
  belongs: (point: MarginPoint) => boolean,
): readonly (readonly MarginPoint[])[] {
  const runs: MarginPoint[][] = [];
  let open = false;
  for (const point of margin) {
    if (!belongs(point)) open = false;
    else if (open) runs.at(-1)?.push(point);
    else {
      runs.push([point]);
      open = true;
    }
  }
  return runs;
}

export const inSpace = (points: readonly MarginPoint[]): Place[] => points.map(({ x, y, z }) => [x, y, z]);
