import { expect, test } from 'vitest';
import { drape, heightAt } from '../../src/geometry/drape.ts';

const GRID = { x0: -1, y0: 10, cell: 0.5, columns: 5, rows: 4 };
const heights = Float32Array.from({ length: 20 }, (_, k) => k);
heights[7] = NaN;

test('a height is that of the nearest cell; beyond the grid there is none', () => {
  expect(heightAt(GRID, heights, -1, 10)).toBe(0);
  expect(heightAt(GRID, heights, 0.2, 10.2)).toBe(2);
  expect(heightAt(GRID, heights, 1, 11.5)).toBe(19);
  expect(heightAt(GRID, heights, 1.3, 10)).toBeNaN();
  expect(heightAt(GRID, heights, 0, 9.7)).toBeNaN();
});

test('a draped line leaves out what hangs over nothing', () => {
  const line = Float64Array.from([-1, 10, 0, 10.5, 1, 11.5, 8, 8]);
  expect([...drape(GRID, heights, line)]).toEqual([-1, 10, 0, 1, 11.5, 19]);
});
