import { describe, expect, test } from 'vitest';
import { lowest } from '../../src/geometry/lowest.ts';

const near = { place: 1e-7, flat: 0, level: 0 };

/** Against places known in closed form. */
describe('the least value of a function between two places', () => {
  test.each([
    ['a parabola', (x: number) => (x - 0.3) ** 2, 0.3],
    ['a corner', (x: number) => Math.abs(x + 0.7), -0.7],
    ['exp(x) − 2x, at ln 2', (x: number) => Math.exp(x) - 2 * x, Math.LN2],
    ['a slope, at its end', (x: number) => x, -1],
  ])('of %s', (_, f, place) => {
    for (const first of [-0.9, 0.05, 0.8]) expect(lowest(f, -1, 1, first, near).at).toBeCloseTo(place, 6);
  });

  test('looks no nearer where neighbours are as low, and takes fewer looks for it', () => {
    const looks = (level: number): number => {
      let count = 0;
      const f = (x: number): number => {
        count++;
        return 1e-9 * Math.abs(x - 0.3);
      };
      expect(Math.abs(lowest(f, -1, 1, 0, { place: 1e-7, flat: 0.01, level }).at - 0.3)).toBeLessThan(0.01);
      return count;
    };
    expect(looks(1e-6)).toBeLessThan(looks(0));
  });
});
