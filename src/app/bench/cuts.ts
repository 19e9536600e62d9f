import type { MeasuredPiece } from '../../../workers/messages.ts';
import { greatestChord, indexChords } from '../../geometry/polygonChords.ts';
import type { RecordSection } from '../../record/schema.ts';

/** A section at any whole station, as it is drawn, with what the record says of it when it lists that station. */
export interface Cut {
  readonly station: number;
  /** x z pairs, mm. */
  readonly loops: readonly Float32Array[];
  readonly listed: RecordSection | undefined;
}

/** The cut nearest to a station; null where the piece has none. Until the surface is read only listed cuts are known. */
export function cutAt({ drawn, record }: MeasuredPiece, station: number): Cut | null {
  const whole = Math.min(99, Math.max(1, Math.round(station)));
  const listed = record.sections.find((section) => section.at === 'station' && section.station === whole);
  const loops = drawn === undefined ? loopsOf(listed) : drawn.cuts[whole - 1];
  if (loops === undefined || loops.length === 0) return null;
  return { station: whole, loops, listed };
}

const flatCuts = new WeakMap<RecordSection, readonly Float32Array[]>();

function loopsOf(section: RecordSection | undefined): readonly Float32Array[] | undefined {
  if (section === undefined) return undefined;
  const known = flatCuts.get(section);
  if (known !== undefined) return known;
  const loops = [section.points, ...section.more].map((loop) => Float32Array.from(loop.flat()));
  flatCuts.set(section, loops);
  return loops;
}

/** Extent of loops in x and z, mm. */
export function boundsOf(loops: readonly Float32Array[]) {
  const bounds = { left: Infinity, right: -Infinity, low: Infinity, high: -Infinity };
  for (const loop of loops) {
    for (let i = 0; i < loop.length; i += 2) {
      bounds.left = Math.min(bounds.left, loop[i]);
      bounds.right = Math.max(bounds.right, loop[i]);
      bounds.low = Math.min(bounds.low, loop[i + 1]);
      bounds.high = Math.max(bounds.high, loop[i + 1]);
    }
  }
  return bounds;
}

/** The longest vertical from face to face, mm: its thickness, where an extent in z would also count how the section leans. */
export function thickestOf(loops: readonly Float32Array[]): { x: number; low: number; high: number } {
  const turned = loops.map((loop) => Float64Array.from(loop, (_, i) => loop[i ^ 1]));
  const { y, left, right } = greatestChord(indexChords(turned));
  return { x: y, low: left, high: right };
}

/** Area enclosed, mm²: outer loops run counter-clockwise and count, hollows run clockwise and are taken off. */
export function areaOf(loops: readonly Float32Array[]): number {
  let twice = 0;
  for (const loop of loops) {
    for (let i = 0, j = loop.length - 2; i < loop.length; j = i, i += 2) {
      twice += loop[j] * loop[i + 1] - loop[i] * loop[j + 1];
    }
  }
  return Math.abs(twice) / 2;
}
