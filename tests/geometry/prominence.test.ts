import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { prominentPeaks } from '../../src/geometry/prominence.ts';

/**
 * The definition itself: from every cell, lower the water step by step until the ground around the cell reaches something
 * higher. Ties are broken by cell number, as on a plateau only one cell can be the peak.
 */
function naive(heights: number[], columns: number, floor: number): Map<number, number> {
  const rows = heights.length / columns;
  const higher = (a: number, b: number) => heights[a] > heights[b] || (heights[a] === heights[b] && a < b);
  const levels = [...new Set(heights.filter((h) => h > floor))].sort((a, b) => b - a);
  const found = new Map<number, number>();
  for (let cell = 0; cell < heights.length; cell++) {
    if (!(heights[cell] > floor)) continue;
    let col = floor;
    for (const level of levels) {
      if (level > heights[cell]) continue;
      const seen = new Set([cell]);
      const open = [cell];
      let met = false;
      while (open.length > 0 && !met) {
        const at = open.pop()!;
        const [row, column] = [Math.floor(at / columns), at % columns];
        for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) {
          for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
            const near = r * columns + c;
            if (seen.has(near) || !(heights[near] >= level)) continue;
            if (higher(near, cell)) met = true;
            seen.add(near);
            open.push(near);
          }
        }
      }
      if (met) {
        col = level;
        break;
      }
    }
    if (heights[cell] > col) found.set(cell, heights[cell] - col);
  }
  return found;
}

describe('prominence', () => {
  test('agrees with the definition on random fields with plateaus, holes and a floor', () => {
    const value = fc.oneof(
      { weight: 6, arbitrary: fc.integer({ min: -3, max: 9 }) },
      { weight: 1, arbitrary: fc.constant(Number.NaN) },
    );
    const field = fc.integer({ min: 1, max: 9 }).chain((columns) =>
      fc.record({
        columns: fc.constant(columns),
        heights: fc
          .array(value, { minLength: columns, maxLength: columns * 9 })
          .map((a) => a.slice(0, a.length - (a.length % columns))),
      }),
    );
    fc.assert(
      fc.property(field, fc.integer({ min: -4, max: 3 }), ({ columns, heights }, floor) => {
        const peaks = prominentPeaks(Float64Array.from(heights), columns, floor, 0);
        const expected = naive(heights, columns, floor);
        expect(new Map(peaks.map((p) => [p.cell, p.prominence]))).toEqual(
          new Map([...expected].sort((a, b) => b[1] - a[1] || a[0] - b[0])),
        );
        for (const p of peaks) expect(p.height - p.col).toBe(p.prominence);
      }),
      { numRuns: 400, seed: 5 },
    );
  });

  test('two cones: the lower stands out by its height over the saddle, the higher over the floor', () => {
    const [columns, rows] = [121, 61];
    const heights = new Float32Array(columns * rows);
    const cone = (x: number, y: number, cx: number, top: number) => top - 0.1 * Math.hypot(x - cx, y - 30);
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < columns; x++)
        heights[y * columns + x] = Math.max(cone(x, y, 30, 5), cone(x, y, 80, 4));
    }
    const peaks = prominentPeaks(heights, columns, 0, 0.5);
    // The cones meet where 5 − 0.1·a = 4 − 0.1·(50 − a): a = 30, height 2.
    expect(peaks.map((p) => p.cell)).toEqual([30 * columns + 30, 30 * columns + 80]);
    expect(peaks[0].prominence).toBeCloseTo(5, 6);
    expect(peaks[1].prominence).toBeCloseTo(2, 5);
    expect(prominentPeaks(heights, columns, 0, 2.1)).toHaveLength(1);
  });

  test('lists the most prominent first and finds nothing in a field without ground above the floor', () => {
    expect(prominentPeaks(Float32Array.of(1, 0, 3, 0, 2), 5, 0, 0).map((p) => p.cell)).toEqual([2, 4, 0]);
    expect(prominentPeaks(Float32Array.of(1, Number.NaN, -1), 3, 1, 0)).toEqual([]);
    expect(prominentPeaks(new Float32Array(0), 3, 0, 0)).toEqual([]);
  });
});
