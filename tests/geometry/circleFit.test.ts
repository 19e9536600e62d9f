import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitCircle } from '../../src/geometry/circleFit.ts';

const arc = (x: number, y: number, r: number, from: number, to: number, n = 50): Float64Array =>
  Float64Array.from({ length: 2 * n }, (_, i) => {
    const t = from + ((to - from) * (i >> 1)) / (n - 1);
    return i % 2 === 0 ? x + r * Math.cos(t) : y + r * Math.sin(t);
  });

describe('fitCircle', () => {
  it('finds the circle that points lie on, from a fifth of the way round up', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -90, max: 90 }),
        fc.integer({ min: 1, max: 400 }),
        fc.integer({ min: 0, max: 62 }),
        fc.integer({ min: 12, max: 62 }),
        (x, r, from, span) => {
          const circle = fitCircle(arc(x, -x / 2, r / 10, from / 10, (from + span) / 10));
          expect(circle?.x).toBeCloseTo(x, 6);
          expect(circle?.y).toBeCloseTo(-x / 2, 6);
          expect(circle?.radius).toBeCloseTo(r / 10, 6);
          expect(circle?.rms).toBeLessThan(1e-6);
        },
      ),
      { numRuns: 200, seed: 4 },
    );
  });

  it('leaves less squared distance than any neighbour when points are off the circle', () => {
    const points = arc(3, 4, 10, 0.3, 2.1).map((v, i) => v + 0.2 * Math.sin(17 * i));
    const circle = fitCircle(points)!;
    const cost = (x: number, y: number, r: number): number => {
      let sum = 0;
      for (let i = 0; i < points.length; i += 2)
        sum += (Math.hypot(points[i] - x, points[i + 1] - y) - r) ** 2;
      return sum;
    };
    const least = cost(circle.x, circle.y, circle.radius);
    for (const [dx, dy, dr] of [
      [1, 0, 0],
      [-1, 0, 0],
      [0, 1, 0],
      [0, -1, 0],
      [0, 0, 1],
      [0, 0, -1],
      [1, 1, 1],
    ]) {
      const h = 1e-3;
      expect(cost(circle.x + h * dx, circle.y + h * dy, circle.radius + h * dr)).toBeGreaterThan(least);
    }
  });

  it('gives none to a straight line or to two points', () => {
    expect(fitCircle(Float64Array.of(0, 0, 1, 2, 2, 4, 3, 6))).toBeNull();
    expect(fitCircle(Float64Array.of(0, 0, 1, 2))).toBeNull();
  });
});
