import { describe, expect, it } from 'vitest';
import { medianInPlace, rankInPlace } from '../../src/geometry/median.ts';
import { createRandom } from '../pieces/random.ts';

describe('a median', () => {
  it.each([1, 2, 9, 64, 65, 500])('is the middle of %i values when all are sorted, seed 3', (count) => {
    const random = createRandom(3);
    const values = Float64Array.from({ length: count + 5 }, () => random.between(-10, 10));
    const sorted = Array.from(values.subarray(0, count)).sort((a, b) => a - b);
    const rest = values.slice(count);
    expect(medianInPlace(values, count)).toBe(sorted[Math.floor(count / 2)]);
    expect(values.slice(count)).toEqual(rest);
  });

  it('of nothing is no number', () => {
    expect(medianInPlace(new Float64Array(3), 0)).toBeNaN();
  });
});

describe('the value at a rank', () => {
  it.each([1, 2, 7, 300])(
    'of %i values, half of them alike, is the one that sorting puts there, seed 4',
    (count) => {
      const random = createRandom(4);
      const values = Float64Array.from({ length: count }, () => Math.max(0, random.between(-10, 10)));
      const sorted = values.slice().sort();
      for (const rank of [0, count >> 2, count >> 1, count - 1]) {
        expect(rankInPlace(values.slice(), rank)).toBe(sorted[rank]);
      }
      rankInPlace(values, count >> 1);
      expect(values.sort()).toEqual(sorted);
    },
  );
});
