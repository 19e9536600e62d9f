import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { smoothField } from '../../src/geometry/fieldSmooth.ts';

describe('smoothing a field with holes', () => {
  test('is the renormalised double sum over the cells that are there', () => {
    const field = fc.integer({ min: 1, max: 10 }).chain((columns) =>
      fc.record({
        columns: fc.constant(columns),
        heights: fc
          .array(
            fc.oneof(
              { weight: 5, arbitrary: fc.integer({ min: -9, max: 9 }) },
              { weight: 1, arbitrary: fc.constant(Number.NaN) },
            ),
            {
              minLength: columns,
              maxLength: columns * 10,
            },
          )
          .map((a) => Float32Array.from(a.slice(0, a.length - (a.length % columns)))),
      }),
    );
    fc.assert(
      fc.property(field, fc.double({ min: 0.3, max: 2, noNaN: true }), ({ columns, heights }, sigma) => {
        const out = smoothField(heights, columns, sigma);
        const reach = Math.ceil(3 * sigma);
        for (let k = 0; k < heights.length; k++) {
          let [sum, weight] = [0, 0];
          for (let j = 0; j < heights.length; j++) {
            const dc = (j % columns) - (k % columns);
            const dr = Math.floor(j / columns) - Math.floor(k / columns);
            if (Math.abs(dc) > reach || Math.abs(dr) > reach || Number.isNaN(heights[j])) continue;
            const w = Math.exp(-(dc * dc + dr * dr) / (2 * sigma * sigma));
            sum += w * heights[j];
            weight += w;
          }
          if (Number.isNaN(heights[k])) expect(out[k]).toBeNaN();
          else expect(Math.abs(out[k] - sum / weight)).toBeLessThan(1e-4);
        }
      }),
      { numRuns: 120, seed: 2 },
    );
  });

  test('widens a Gaussian by its own variance and lowers it as it must', () => {
    const [size, s, sigma] = [121, 8, 6];
    const bump = Float32Array.from({ length: size * size }, (_, k) =>
      Math.exp(-(((k % size) - 60) ** 2 + (Math.floor(k / size) - 60) ** 2) / (2 * s * s)),
    );
    const out = smoothField(bump, size, sigma);
    expect(out[60 * size + 60]).toBeCloseTo((s * s) / (s * s + sigma * sigma), 2);
    expect(bump[60 * size + 60]).toBe(1);
  });

  test('a sigma of 0 changes nothing', () => {
    const field = Float32Array.of(1, Number.NaN, 3, 4);
    expect(smoothField(field, 2, 0)).toEqual(field);
  });
});
