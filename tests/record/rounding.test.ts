import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  coordinatePlace,
  lastPlace,
  printMeasured,
  roundAt,
  roundFigures,
  roundMeasured,
} from '../../src/record/rounding.ts';

describe('rounding', () => {
  test('at a place left and right of the point', () => {
    expect(roundAt(123.456, -1)).toBe(123.5);
    expect(roundAt(123.456, 1)).toBe(120);
    expect(roundAt(-0.0004, -2)).toBe(0);
    expect(Object.is(roundAt(-0.0004, -2), 0)).toBe(true);
  });

  test('the last place of two figures counts what rounding carries over', () => {
    expect(lastPlace(0.0234, 2)).toBe(-3);
    expect(lastPlace(0.0996, 2)).toBe(-2);
    expect(lastPlace(1234, 2)).toBe(2);
  });

  test('printed with two figures of u, the value to the same place (JCGM 100:2008, 7.2.6)', () => {
    expect(printMeasured(21.37456, 0.0487)).toEqual({ value: '21.375', u: '0.049' });
    expect(printMeasured(31234.56, 123.4)).toEqual({ value: '31230', u: '120' });
    expect(printMeasured(5, 0)).toEqual({ value: '5', u: '' });
    expect(printMeasured(0.47210721365486, 1.4e-16)).toEqual({ value: '0.4721072', u: '1.4e-16' });
  });

  test('coordinates of a piece of 100 mm are kept to a ten-thousandth of a millimetre', () => {
    expect(coordinatePlace(100)).toBe(-4);
    expect(coordinatePlace(20)).toBe(-5);
  });

  test('never off by more than half of its place, and steady when done twice (seeded)', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.double({ min: 1e-6, max: 1e3, noNaN: true }),
        (value, u) => {
          const rounded = roundMeasured(value, u);
          const half = 0.5 * 10 ** (lastPlace(u, 2) - 2);
          return Math.abs(rounded - value) <= half * (1 + 1e-9) && roundMeasured(rounded, u) === rounded;
        },
      ),
      { numRuns: 500, seed: 3 },
    );
    expect(roundFigures(1 / 3, 4)).toBe(0.3333);
  });
});
