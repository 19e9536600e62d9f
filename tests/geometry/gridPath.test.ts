import { describe, expect, test } from 'vitest';
import { cheapestPath } from '../../src/geometry/gridPath.ts';

const COLUMNS = 30;
const at = (x: number, y: number): number => y * COLUMNS + x;

describe('the cheapest way through a grid', () => {
  test('over even ground is the shortest: straight, or by corners', () => {
    const even = new Float32Array(COLUMNS * 20).fill(1);
    expect(cheapestPath(even, COLUMNS, at(3, 4), at(9, 4))).toEqual(
      [3, 4, 5, 6, 7, 8, 9].map((x) => at(x, 4)),
    );
    expect(cheapestPath(even, COLUMNS, at(2, 2), at(7, 7))).toEqual([2, 3, 4, 5, 6, 7].map((k) => at(k, k)));
    expect(cheapestPath(even, COLUMNS, at(5, 5), at(5, 5))).toEqual([at(5, 5)]);
  });

  test('keeps to a road that costs less than it is longer, and leaves one that does not', () => {
    const through = (price: number): number[] => {
      const ground = new Float32Array(COLUMNS * 20).fill(1);
      for (let x = 2; x <= 26; x++) ground[at(x, 15)] = price;
      for (let y = 3; y <= 15; y++) for (const x of [2, 26]) ground[at(x, y)] = price;
      return cheapestPath(ground, COLUMNS, at(2, 3), at(26, 3));
    };
    // Straight across: 24 steps. By the road: 24 + 2 · 12.
    expect(Math.max(...through(0.2).map((cell) => Math.floor(cell / COLUMNS)))).toBe(15);
    expect(Math.max(...through(0.9).map((cell) => Math.floor(cell / COLUMNS)))).toBe(3);
  });

  test('does not wrap round the sides of the grid', () => {
    const even = new Float32Array(COLUMNS * 20).fill(1);
    expect(cheapestPath(even, COLUMNS, at(0, 3), at(29, 3))).toHaveLength(30);
  });

  test('costs as little as by the method of Bellman and Ford on the same grid', () => {
    let seed = 7;
    const random = (): number => {
      seed = (seed * 1103515245 + 12345) % 2 ** 31;
      return seed / 2 ** 31;
    };
    const ground = Float32Array.from({ length: COLUMNS * 12 }, () => 0.05 + random());
    const [from, to] = [at(1, 1), at(28, 10)];
    const path = cheapestPath(ground, COLUMNS, from, to);
    const step = (a: number, b: number): number => {
      const [dx, dy] = [(a % COLUMNS) - (b % COLUMNS), Math.floor(a / COLUMNS) - Math.floor(b / COLUMNS)];
      return (Math.hypot(dx, dy) * (ground[a] + ground[b])) / 2;
    };
    const paid = path.slice(1).reduce((sum, cell, k) => sum + step(path[k], cell), 0);
    const least = new Float64Array(ground.length).fill(Infinity);
    least[from] = 0;
    for (let changed = true; changed; ) {
      changed = false;
      for (let a = 0; a < ground.length; a++) {
        for (const d of [-COLUMNS - 1, -COLUMNS, -COLUMNS + 1, -1, 1, COLUMNS - 1, COLUMNS, COLUMNS + 1]) {
          const b = a + d;
          if (b < 0 || b >= ground.length || Math.abs((a % COLUMNS) - (b % COLUMNS)) > 1) continue;
          if (least[a] + step(a, b) < least[b] - 1e-12) {
            least[b] = least[a] + step(a, b);
            changed = true;
          }
        }
      }
    }
    expect(paid).toBeCloseTo(least[to], 6);
  });
});
