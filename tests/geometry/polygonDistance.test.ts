import { describe, expect, it } from 'vitest';
import { distanceToRing, nearestOnRing } from '../../src/geometry/polygonDistance.ts';
import { createRandom } from '../pieces/random.ts';

describe('the nearest point of a ring', () => {
  it('of a square is square to a side or a corner', () => {
    const nearest = nearestOnRing(Float64Array.of(0, 0, 4, 0, 4, 4, 0, 4));
    expect(nearest(1, -2)).toEqual({ x: 1, y: 0, squared: 4 });
    expect(nearest(5, 5)).toEqual({ x: 4, y: 4, squared: 2 });
    expect(nearest(2, 3.5)).toEqual({ x: 2, y: 4, squared: 0.25 });
  });

  it('is as far as the nearest of all edges, whatever was asked before, on a ragged ring of 1000 points, seed 8', () => {
    const random = createRandom(8);
    const ring = Float64Array.from({ length: 2000 }, (_, i) => {
      const turn = (Math.PI * (i >> 1)) / 500;
      return (i % 2 === 0 ? 30 * Math.cos(turn) : 20 * Math.sin(turn)) + random.between(-1, 1);
    });
    const nearest = nearestOnRing(ring);
    for (let k = 0; k < 200; k++) {
      const [x, y] = [random.between(-40, 40), random.between(-40, 40)];
      const { x: u, y: v, squared } = nearest(x, y);
      expect(Math.sqrt(squared)).toBeCloseTo(distanceToRing(ring, x, y), 12);
      expect(Math.hypot(u - x, v - y)).toBeCloseTo(Math.sqrt(squared), 12);
    }
  });
});
