import { mirrorDifferences } from '../geometry/mirrorAxis.ts';
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
  /** Share of the outline's area that its reflection in a line x = `at` (mm) covers, percent. */
  overlapAt(at: number): number;
  /** What the ends of the outline are worth in the length and in stations; made on first use. */
  readonly lengthError: LengthError;
}

export function makePlan(model: Model): Plan {
  const rings = [model.outline.outer, ...model.outline.inner];
  const chords = indexChords(rings);
  let error: LengthError | undefined;
  let differences: ((offset: number) => number) | undefined;
  return {
    rings,
    chords,
    area: polygonMoments(rings).area,
    outerArea: polygonMoments([model.outline.outer]).area,
    greatest: greatestChord(chords),
    overlapAt(at) {
      differences ??= mirrorDifferences(rings, 0);
      return 100 * (1 - differences(at));
    },
    get lengthError() {
      error ??= lengthError(model);
      return error;
    },
  };
}

/** The same plan moved by x mm square to the length axis. */
export function movedPlan(plan: Plan, x: number): Plan {
  const { chords, area, outerArea, greatest } = plan;
  const rings = plan.rings.map((ring) => movedAside(ring, x));
  return {
    rings,
    chords: { ...chords, rings, ends: movedAside(chords.ends, x) },
    ...{ area, outerArea },
    greatest: { ...greatest, left: greatest.left + x, right: greatest.right + x },
    overlapAt: (at) => plan.overlapAt(at - x),
    get lengthError() {
      return plan.lengthError;
    },
  };
}

/** Points, x y pairs, moved by x. */
function movedAside(points: Points2, x: number): Points2 {
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    out[i] = points[i] + x;
    out[i + 1] = points[i + 1];
  }
  return out;
}

/** Outermost margins at a station (percent of length from the base). */
export function chordAtStation(plan: Plan, length: number, station: number): Chord {
  const { minY, maxY } = plan.chords;
  const y = Math.min(maxY, Math.max(minY, (station / 100) * length));
  return chordAt(plan.chords, y) ?? { y, left: 0, right: 0 };
}
