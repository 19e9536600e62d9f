import { describe, expect, test } from 'vitest';
import { shadeRelief } from '../../src/geometry/shadeRelief.ts';

const COLUMNS = 9;
const ROWS = 7;

function grid(height: (x: number, y: number) => number, cell: number): Float32Array {
  return Float32Array.from({ length: COLUMNS * ROWS }, (_, k) =>
    height((k % COLUMNS) * cell, Math.floor(k / COLUMNS) * cell),
  );
}

describe('a relief under a lamp', () => {
  test.each([
    [0, 0],
    [0.5, 0],
    [-0.3, 0.8],
  ])(
    'a plane rising %d along x and %d along y has the cosine of its tilt to the lamp everywhere',
    (gx, gy) => {
      const light = { azimuth: 135, elevation: 40, ambient: 0 };
      const shade = shadeRelief(
        grid((x, y) => gx * x + gy * y, 0.25),
        COLUMNS,
        ROWS,
        0.25,
        light,
      );
      const e = (40 * Math.PI) / 180;
      const lamp = [-Math.cos(e) * Math.SQRT1_2, Math.cos(e) * Math.SQRT1_2, Math.sin(e)];
      // Lambert's cosine law with the normal (−gx, −gy, 1), normalised.
      const cosine = (-gx * lamp[0] - gy * lamp[1] + lamp[2]) / Math.hypot(gx, gy, 1);
      for (const value of shade) expect(value).toBeCloseTo(Math.max(0, cosine), 6);
    },
  );

  test('what is empty stays empty, and its neighbours do not see it', () => {
    const heights = grid((x) => 0.5 * x, 1);
    heights[3 * COLUMNS + 4] = NaN;
    const light = { azimuth: 0, elevation: 45, ambient: 0.2 };
    const shade = shadeRelief(heights, COLUMNS, ROWS, 1, light);
    const whole = shadeRelief(
      grid((x) => 0.5 * x, 1),
      COLUMNS,
      ROWS,
      1,
      light,
    );
    shade.forEach((value, k) => {
      if (k === 3 * COLUMNS + 4) expect(value).toBeNaN();
      else expect(value).toBeCloseTo(whole[k], 6);
    });
  });
});
