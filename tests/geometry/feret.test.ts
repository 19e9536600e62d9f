import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { feretDiameters } from '../../src/geometry/feret.ts';

describe('feretDiameters', () => {
  it('of a rectangle: diagonal and shorter side', () => {
    const { max, min } = feretDiameters(Float64Array.of(0, 0, 30, 0, 30, 7, 0, 7));
    expect(max).toBeCloseTo(Math.hypot(30, 7), 12);
    expect(min).toBeCloseTo(7, 12);
  });

  it('of a Reuleaux triangle: the same in every direction', () => {
    const points: number[] = [];
    for (let corner = 0; corner < 3; corner++) {
      const a = (2 * Math.PI * corner) / 3;
      for (let k = 0; k < 200; k++) {
        const t = a + Math.PI - Math.PI / 6 + (Math.PI / 3) * (k / 199);
        points.push(Math.cos(a) + Math.sqrt(3) * Math.cos(t), Math.sin(a) + Math.sqrt(3) * Math.sin(t));
      }
    }
    const { max, min } = feretDiameters(Float64Array.from(points));
    expect(max).toBeCloseTo(Math.sqrt(3), 6);
    expect(min).toBeCloseTo(Math.sqrt(3), 4);
  });

  it('agrees with every pair and with every direction, tried one by one', () => {
    const place = (reach: number) => fc.integer({ min: -reach, max: reach }).map((v) => v / 1000);
    const point = fc.tuple(place(50_000), place(9_000));
    fc.assert(
      fc.property(fc.array(point, { minLength: 3, maxLength: 60 }), (pairs) => {
        const { max, min } = feretDiameters(Float64Array.from(pairs.flat()));
        let longest = 0;
        for (const [ax, ay] of pairs) {
          for (const [bx, by] of pairs) longest = Math.max(longest, Math.hypot(ax - bx, ay - by));
        }
        let least = Infinity;
        for (let k = 0; k < 3600; k++) {
          const c = Math.cos((Math.PI * k) / 3600);
          const s = Math.sin((Math.PI * k) / 3600);
          const along = pairs.map(([x, y]) => x * c + y * s);
          least = Math.min(least, Math.max(...along) - Math.min(...along));
        }
        expect(max).toBeCloseTo(longest, 9);
        // A direction tried is off by at most half a step: by no more than the diameter times that.
        expect(min).toBeLessThanOrEqual(least + 1e-9);
        expect(min).toBeGreaterThanOrEqual(least - longest * (Math.PI / 7200) - 1e-9);
      }),
      { numRuns: 150, seed: 3 },
    );
  });
});
