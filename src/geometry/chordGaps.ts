import type { Points2 } from './types.ts';

/** Areas between a closed line and its chords, square units, both positive. */
export interface ChordGaps {
  /** What the polygon lacks where the line bulges out. */
  readonly bulge: number;
  /** What it has too much where the line bends in. */
  readonly hollow: number;
}

/**
 * What straight chords between the points of a counter-clockwise line take off it and add to it: chords twice as long miss
 * four times as much of a smooth arc, so that a third of what they miss more is what these miss. Exact in the mean for smooth
 * lines; at a cusp that is one of the points nothing is missed, and `bulge` is too large by a third of its triangle. O(n).
 */
export function chordGaps(ring: Points2): ChordGaps {
  const n = ring.length / 2;
  let bulge = 0;
  let hollow = 0;
  for (let i = 0; i < n; i++) {
    const a = 2 * ((i + n - 1) % n);
    const b = 2 * ((i + 1) % n);
    const ax = ring[2 * i] - ring[a];
    const ay = ring[2 * i + 1] - ring[a + 1];
    const twice = ax * (ring[b + 1] - ring[2 * i + 1]) - ay * (ring[b] - ring[2 * i]);
    if (twice > 0) bulge += twice;
    else hollow -= twice;
  }
  // Half of a parallelogram, every second point left out, a third of it.
  return { bulge: bulge / 12, hollow: hollow / 12 };
}
