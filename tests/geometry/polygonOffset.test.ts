import { expect, test } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { movedOutward } from '../../src/geometry/polygonOffset.ts';

const square = (half: number): Float64Array =>
  Float64Array.of(-half, -half, half, -half, half, half, -half, half);
const hole = (half: number): Float64Array =>
  Float64Array.of(-half, -half, -half, half, half, half, half, -half);
const extents = (ring: Float64Array): number[] => [Math.min(...ring), Math.max(...ring)];

test('a square grows by the distance on every side, corners and all, and its hole shrinks', () => {
  const [outer, inner] = movedOutward([square(10), hole(3)], 0.5);
  for (const [ring, half] of [
    [outer, 10.5],
    [inner, 2.5],
  ] as const) {
    expect(extents(ring)[0]).toBeCloseTo(-half, 5);
    expect(extents(ring)[1]).toBeCloseTo(half, 5);
  }
  expect(polygonMoments([outer, inner]).area).toBeCloseTo(21 ** 2 - 5 ** 2, 3);
});

test('a tip is carried on to where its sides meet, unless that is very far', () => {
  const wedge = (half: number): Float64Array => Float64Array.of(-half, 0, half, 0, 0, 20);
  // Sides that lean by half the tip's angle: square to them by d is d/sin of it along the axis.
  const half = 6;
  const sine = half / Math.hypot(half, 20);
  const top = (ring: Float64Array): number => Math.max(...ring.filter((_, i) => i % 2 === 1));
  expect(top(movedOutward([wedge(half)], 0.3)[0])).toBeCloseTo(20 + 0.3 / sine, 4);
  expect(top(movedOutward([wedge(1)], 0.3)[0])).toBeLessThan(20 + 4 * 0.3);
});
