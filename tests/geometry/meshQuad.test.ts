import { expect, test } from 'vitest';
import { cutsFromFirst } from '../../src/geometry/meshQuad.ts';

const quad = (...corners: readonly (readonly [number, number])[]): boolean =>
  cutsFromFirst(Float64Array.from(corners.flatMap(([x, y]) => [x, y, 0.2 * x - 0.4 * y])), 0, 1, 2, 3);

test('a convex quad is cut along its shorter diagonal', () => {
  expect(quad([0, 0], [5, -1], [10, 0], [5, 1])).toBe(false);
  expect(quad([5, -1], [10, 0], [5, 1], [0, 0])).toBe(true);
});

test('a dart is cut from its inner corner, wherever that comes and however long the cut', () => {
  const dart = [
    [0, 0],
    [10, 9],
    [9, 9],
    [9, 10],
  ] as const;
  for (let k = 0; k < 4; k++) {
    const corners = [...dart.slice(k), ...dart.slice(0, k)];
    expect(quad(...corners)).toBe(k % 2 === 0);
  }
});

test('a quad that is bent in space is cut so that it does not fold over', () => {
  // Corner 3 lies far below: cut from 1 to 3 the two triangles face away from each other.
  const positions = Float64Array.of(0, 0, 0, 1, 0, 0, 1, 1, 0, 0.9, 0.1, -3);
  const [direct, across] = [cutsFromFirst(positions, 0, 1, 2, 3), cutsFromFirst(positions, 1, 2, 3, 0)];
  expect(direct).toBe(!across);
});
