import { describe, expect, it } from 'vitest';
import { maskInside, maskOfBands, ringBands } from '../../src/geometry/polygonMask.ts';
import { createRandom } from '../pieces/random.ts';

describe('a mask of a ring that is looked up by bands', () => {
  for (const seed of [1, 2, 3]) {
    it(`is that of the whole ring, seed ${seed}`, () => {
      const random = createRandom(seed);
      const n = 400;
      const ring = Float64Array.from({ length: 2 * n }, (_, i) => {
        const t = (2 * Math.PI * (i >> 1)) / n;
        const radius = 40 + 4 * random.next();
        return 60 + radius * (i % 2 === 0 ? Math.cos(t) : Math.sin(t));
      });
      // One edge far longer than the others, across many bands.
      ring.set([20, 100, 22, 30], 200);
      const bands = ringBands(ring, 5);
      for (let k = 0; k < 60; k++) {
        const grid = {
          x0: random.between(-10, 110),
          y0: random.between(-30, 130),
          cell: k % 2 === 0 ? 1 : 0.25,
          columns: 1 + Math.floor(40 * random.next()),
          rows: 1 + Math.floor(40 * random.next()),
        };
        expect(maskOfBands(bands, grid)).toEqual(maskInside([ring], grid));
      }
    });
  }
});
