import { describe, expect, test } from 'vitest';
import { areaOf, boundsOf, thickestOf } from '../../src/app/bench/cuts.ts';

/** A section that leans: 20 mm wide, 2 mm thick along every vertical but 6 mm from its lowest to its highest point. */
const LEANING = Float32Array.of(0, -1, 20, 3, 20, 5, 0, 1);

describe('a section as it is drawn', () => {
  test('is as thick as its longest vertical, however it leans', () => {
    const { low, high } = thickestOf([LEANING]);
    expect(high - low).toBeCloseTo(2, 6);
    const bounds = boundsOf([LEANING]);
    expect(bounds.high - bounds.low).toBe(6);
    expect(areaOf([LEANING])).toBe(40);
  });

  test('is thickest where it is: of two parts the thicker one tells', () => {
    const barb = Float32Array.of(30, 0, 32, -1.5, 34, 0, 32, 1.5);
    const { x, low, high } = thickestOf([LEANING, barb]);
    expect([x, low, high]).toEqual([32, -1.5, 1.5]);
  });
});
