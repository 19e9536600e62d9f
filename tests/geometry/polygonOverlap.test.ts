import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { mirrorDifference } from '../../src/geometry/mirrorAxis.ts';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { cutToRows, mirrored, overlapArea } from '../../src/geometry/polygonOverlap.ts';

const box = (x0: number, y0: number, x1: number, y1: number): Float64Array =>
  Float64Array.of(x0, y0, x1, y0, x1, y1, x0, y1);

describe('overlapArea', () => {
  it('of two boxes is the box they share; holes count off', () => {
    expect(overlapArea([box(0, 0, 4, 3)], [box(1, 1, 9, 9)])).toBeCloseTo(6, 5);
    expect(overlapArea([box(0, 0, 4, 3)], [box(4.5, 1, 9, 9)])).toBe(0);
    const hole = Float64Array.of(1, 1, 1, 2, 2, 2, 2, 1);
    expect(overlapArea([box(0, 0, 4, 3), hole], [box(0, 0, 4, 3)])).toBeCloseTo(11, 5);
  });

  it('with itself is the whole, with its reflection what a raster counts', () => {
    const ring = fc.array(fc.integer({ min: 300, max: 3000 }), { minLength: 5, maxLength: 30 }).map((radii) =>
      Float64Array.from(
        radii.flatMap((r, i) => {
          const a = (2 * Math.PI * i) / radii.length;
          return [(r / 100) * Math.cos(a) + 2, (r / 100) * Math.sin(a)];
        }),
      ),
    );
    fc.assert(
      fc.property(ring, (points) => {
        const area = polygonMoments([points]).area;
        expect(overlapArea([points], [points])).toBeCloseTo(area, 3);
        const grid = { x0: -40, y0: -40, cell: 0.1, columns: 801, rows: 801 };
        const own = maskInside([points], grid);
        const other = maskInside(mirrored([points]), grid);
        let both = 0;
        for (let k = 0; k < own.length; k++) both += own[k] & other[k];
        const counted = both * 0.01;
        const common = overlapArea([points], mirrored([points]));
        expect(Math.abs(common - counted)).toBeLessThan(0.02 * counted + 1);
        // Rows with borders at the vertices say the same as clipping does.
        expect(mirrorDifference([points], 0, 0)).toBeCloseTo(1 - common / area, 5);
      }),
      { numRuns: 15, seed: 6 },
    );
  });

  it('cutToRows keeps the area between two levels', () => {
    const triangle = [Float64Array.of(0, 0, 6, 0, 0, 3)];
    expect(polygonMoments(cutToRows(triangle, 1, 2)).area).toBeCloseTo(9 * ((2 / 3) ** 2 - (1 / 3) ** 2), 5);
    expect(cutToRows(triangle, 5, 6)).toEqual([]);
  });
});
