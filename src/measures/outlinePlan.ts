import {
  type Chord,
  type ChordIndex,
  chordAt,
  greatestChord,
  indexChords,
} from '../geometry/polygonChords.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { type LengthError, lengthError } from './outlineError.ts';

/** What several families need of the outline: its rings, areas (mm²) and a quick answer to its width at any height. */
export interface Plan {
  readonly rings: readonly Points2[];
  readonly chords: ChordIndex;
  /** Of the outer ring less its holes. */
  readonly area: number;
  /** Of the outer ring alone. */
  readonly outerArea: number;
  /** Longest chord square to the length axis. */
  readonly greatest: Chord;
  /** What the ends of the outline are worth in the length and in stations; made on first use. */
  readonly lengthError: LengthError;
}

export function makePlan(model: Model): Plan {
  const rings = [model.outline.outer, ...model.outline.inner];
  const chords = indexChords(rings);
  let error: LengthError | undefined;
  return {
    rings,
    chords,
    area: polygonMoments(rings).area,
    outerArea: polygonMoments([model.outline.outer]).area,
    greatest: greatestChord(chords),
    get lengthError() {
      error ??= lengthError(model);
      return error;
    },
  };
}

/** Outermost margins at a station (percent of length from the base). */
export function chordAtStation(plan: Plan, length: number, station: number): Chord {
  const { minY, maxY } = plan.chords;
  const y = Math.min(maxY, Math.max(minY, (station / 100) * length));
  return chordAt(plan.chords, y) ?? { y, left: 0, right: 0 };
}
