import { describe, expect, test } from 'vitest';
import { hasFoot } from '../../src/measures/humpsFoot.ts';
import type { ThicknessMap } from '../../src/measures/types.ts';

const CELL = 0.5;
const SIDE = 161;
const map: ThicknessMap = {
  x0: -40,
  y0: -40,
  cell: CELL,
  columns: SIDE,
  rows: SIDE,
  faceA: new Float32Array(0),
  faceB: new Float32Array(0),
};

/** A face over a disc of radius 38 mm; NaN outside. */
function face(height: (x: number, y: number) => number): Float32Array {
  return Float32Array.from({ length: SIDE * SIDE }, (_, k) => {
    const x = map.x0 + (k % SIDE) * CELL;
    const y = map.y0 + Math.floor(k / SIDE) * CELL;
    return Math.hypot(x, y) < 38 ? height(x, y) : NaN;
  });
}

/** Parabolic dome, 8 mm high. */
const dome = (x: number, y: number): number => 8 * (1 - (x * x + y * y) / 1444);
/** Bump of compact support, as of the generated pieces. */
const bump = (x: number, y: number, radius: number): number =>
  Math.max(0, 1 - (x * x + y * y) / (radius * radius)) ** 3;

describe('the foot of a hump', () => {
  test.each([
    [1, 5],
    [2, 8],
    [0.8, 4],
  ])('a bump of %f mm and radius %f mm on a dome has one, wherever it stands', (size, radius) => {
    for (const [x, y] of [
      [0, 0],
      [12, 5],
      [-8, 16],
    ]) {
      const heights = face((u, v) => dome(u, v) + size * bump(u - x, v - y, radius));
      expect(hasFoot(heights, map, x, y, 0.73 * radius)).toBe(true);
    }
  });

  test('a dome itself has none, nor has a slope, a ridge or an end that rises like a root', () => {
    expect(hasFoot(face(dome), map, 0, 0, 10)).toBe(false);
    expect(hasFoot(face(dome), map, 10, -6, 8)).toBe(false);
    expect(
      hasFoot(
        face((x, y) => dome(x, y) + 0.3 * y),
        map,
        5,
        5,
        8,
      ),
    ).toBe(false);
    expect(
      hasFoot(
        face((x, y) => 8 - 0.1 * Math.abs(x) - 0.002 * y * y),
        map,
        0,
        10,
        6,
      ),
    ).toBe(false);
    expect(
      hasFoot(
        face((_, y) => Math.sqrt(2 * (y + 40))),
        map,
        0,
        -18,
        10,
      ),
    ).toBe(false);
  });

  test('where the face does not go on around a lump, it has none', () => {
    const strip = face((x, y) => (Math.abs(x) < 8 && Math.abs(y) < 14 ? dome(x, y) + bump(x, y, 12) : NaN));
    expect(hasFoot(strip, map, 0, 0, 9)).toBe(false);
  });
});
