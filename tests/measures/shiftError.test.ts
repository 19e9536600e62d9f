import { describe, expect, test } from 'vitest';
import { shiftError } from '../../src/measures/shiftError.ts';

describe('uncertainty of a value read at an uncertain place', () => {
  test('is slope × error on a slope (JCGM 100:2008, 5.1.2)', () => {
    expect(Math.abs(shiftError((s) => 3 - 2 * s, 0.1) / 0.2 - 1)).toBeLessThan(1e-3);
    expect(shiftError((s) => s, 0)).toBe(0);
  });

  test('sees a step of 4 as far off as chance may reach it: 4·√(share of a normal law beyond it)', () => {
    const step = (away: number) => shiftError((s) => (s > away ? 4 : 0), 1);
    // Shares beyond 0, 0.5 and 1 standard deviation: 0.5, 0.309, 0.159 (tables of the normal law), to one sample in sixteen.
    for (const [away, share] of [
      [0, 0.5],
      [0.5, 0.309],
      [1, 0.159],
    ]) {
      expect(Math.abs((step(away) / 4) ** 2 - share)).toBeLessThanOrEqual(1 / 16);
    }
    expect(step(2.5)).toBe(0);
  });
});
