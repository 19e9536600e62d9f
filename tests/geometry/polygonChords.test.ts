import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chordAt, greatestChord, indexChords } from '../../src/geometry/polygonChords.ts';
import type { Points2 } from '../../src/geometry/types.ts';

/** Every edge tried. */
function bruteChord(rings: readonly Points2[], y: number): [number, number] {
  let [left, right] = [Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      const [y0, y1] = [ring[i + 1], ring[j + 1]];
      if (Math.min(y0, y1) > y || Math.max(y0, y1) < y) continue;
      for (const f of y0 === y1 ? [0, 1] : [(y - y0) / (y1 - y0)]) {
        left = Math.min(left, ring[i] + f * (ring[j] - ring[i]));
        right = Math.max(right, ring[i] + f * (ring[j] - ring[i]));
      }
    }
  }
  return [left, right];
}

const star = fc.array(fc.integer({ min: 200, max: 3000 }), { minLength: 3, maxLength: 60 }).map((radii) =>
  Float64Array.from(
    radii.flatMap((r, i) => {
      const a = (2 * Math.PI * i) / radii.length;
      return [(r / 100) * Math.cos(a), (r / 50) * Math.sin(a)];
    }),
  ),
);

describe('chords', () => {
  it('agree with every edge tried, at any level and at vertices', () => {
    fc.assert(
      fc.property(star, fc.double({ min: 0, max: 1, noNaN: true }), (ring, share) => {
        const index = indexChords([ring]);
        const levels = [index.minY + share * (index.maxY - index.minY), ring[1], ring[ring.length - 1]];
        for (const y of levels) {
          const chord = chordAt(index, y);
          const [left, right] = bruteChord([ring], y);
          expect(chord?.left).toBeCloseTo(left, 9);
          expect(chord?.right).toBeCloseTo(right, 9);
        }
      }),
      { numRuns: 200, seed: 8 },
    );
  });

  it('the greatest is at least that of a thousand levels, and one of them up to their spacing', () => {
    fc.assert(
      fc.property(star, (ring) => {
        const index = indexChords([ring]);
        const best = greatestChord(index);
        const [left, right] = bruteChord([ring], best.y);
        expect(best.right - best.left).toBeCloseTo(right - left, 9);
        for (let k = 0; k <= 1000; k++) {
          const [l, r] = bruteChord([ring], index.minY + ((index.maxY - index.minY) * k) / 1000);
          expect(r - l).toBeLessThanOrEqual(best.right - best.left + 1e-9);
        }
      }),
      { numRuns: 30, seed: 9 },
    );
  });

  it('there is none outside, and a flat end has its whole width', () => {
    const index = indexChords([Float64Array.of(-3, 0, 4, 0, 0, 10)]);
    expect(chordAt(index, -0.001)).toBeNull();
    expect(chordAt(index, 10.001)).toBeNull();
    expect(chordAt(index, 0)).toEqual({ y: 0, left: -3, right: 4 });
    expect(chordAt(index, 10)).toEqual({ y: 10, left: 0, right: 0 });
  });
});
