import fc from 'fast-check';
import { expect, test } from 'vitest';
import { distanceOutside } from '../../src/geometry/ringDistance.ts';

const SQUARE = Float64Array.from([-1, -1, 1, -1, 1, 1, -1, 1]);

test('to a square: nothing inside, the closed form outside', () => {
  const place = fc.double({ min: -4, max: 4, noNaN: true });
  fc.assert(
    fc.property(place, place, (x, y) => {
      const truth = Math.hypot(Math.max(0, Math.abs(x) - 1), Math.max(0, Math.abs(y) - 1));
      expect(distanceOutside(SQUARE, x, y)).toBeCloseTo(truth, 9);
    }),
  );
});

test('the mouth of a horseshoe is outside', () => {
  const shoe = Float64Array.from([0, 0, 5, 0, 5, 5, 4, 5, 4, 1, 1, 1, 1, 5, 0, 5]);
  expect(distanceOutside(shoe, 2.5, 4)).toBeCloseTo(1.5, 12);
  expect(distanceOutside(shoe, 0.5, 4)).toBe(0);
});
