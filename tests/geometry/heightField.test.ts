import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heightField } from '../../src/geometry/heightField.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { createRandom } from '../pieces/random.ts';

/** Every triangle against every vertical line: the definition, with no thought for speed. */
function castRays(mesh: TriangleMesh, x: number, y: number): { top: number; bottom: number; near: boolean } {
  const { positions: p, triangles } = mesh;
  let top = Number.NaN;
  let bottom = Number.NaN;
  let near = false;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const edge = (i: number, j: number) =>
      (p[j] - p[i]) * (y - p[i + 1]) - (p[j + 1] - p[i + 1]) * (x - p[i]);
    const [ab, bc, ca] = [edge(a, b), edge(b, c), edge(c, a)];
    const sum = ab + bc + ca;
    if (sum === 0) continue;
    const weights = [bc / sum, ca / sum, ab / sum];
    const least = Math.min(...weights);
    // On an edge either answer is right.
    if (Math.abs(least) < 1e-9) near = true;
    if (least < 0) continue;
    const z = weights[0] * p[a + 2] + weights[1] * p[b + 2] + weights[2] * p[c + 2];
    if (!(z <= top)) top = z;
    if (!(z >= bottom)) bottom = z;
  }
  return { top, bottom, near };
}

function soup(seed: number, count: number, size: number): TriangleMesh {
  const random = createRandom(seed);
  const positions = new Float64Array(9 * count);
  for (let t = 0; t < count; t++) {
    const [x, y, z] = [random.between(-8, 12), random.between(3, 20), random.between(-5, 5)];
    for (let k = 0; k < 3; k++) {
      positions.set(
        [x + size * random.normal(), y + size * random.normal(), z + random.normal()],
        9 * t + 3 * k,
      );
    }
  }
  return { positions, triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i) };
}

describe('height field', () => {
  test.each([
    [1, 400, 0.1],
    [2, 200, 0.6],
    [3, 30, 4],
    [4, 1, 2],
  ])('seed %i: %i triangles of size %d agree with rays through every centre', (seed, count, size) => {
    const mesh = soup(seed, count, size);
    const field = heightField(mesh, 0.31);
    let covered = 0;
    for (let row = 0; row < field.rows; row++) {
      for (let column = 0; column < field.columns; column++) {
        const ray = castRays(mesh, field.x0 + column * field.cell, field.y0 + row * field.cell);
        const k = row * field.columns + column;
        if (ray.near) continue;
        expect(Number.isNaN(field.top[k])).toBe(Number.isNaN(ray.top));
        if (Number.isNaN(ray.top)) continue;
        covered++;
        expect(Math.abs(field.top[k] - ray.top)).toBeLessThan(2e-6);
        expect(Math.abs(field.bottom[k] - ray.bottom)).toBeLessThan(2e-6);
      }
    }
    expect(covered).toBeGreaterThan(5);
  });

  test('leaves no gap along shared edges, also where edges run exactly through centres', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 24 }), fc.constantFrom(0.25, 0.5, 1 / 3), (n, cell) => {
        // A flat square of n × n quads whose edges coincide with rows and columns for many n and cells.
        const side = 6;
        const positions: number[] = [];
        const triangles: number[] = [];
        for (let j = 0; j <= n; j++)
          for (let i = 0; i <= n; i++) positions.push((side * i) / n, (side * j) / n, i + j);
        for (let j = 0; j < n; j++) {
          for (let i = 0; i < n; i++) {
            const a = j * (n + 1) + i;
            triangles.push(a, a + 1, a + n + 2, a, a + n + 2, a + n + 1);
          }
        }
        const field = heightField(
          { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) },
          cell,
        );
        for (let row = 0; row < field.rows; row++) {
          for (let column = 0; column < field.columns; column++) {
            const x = field.x0 + column * cell;
            const y = field.y0 + row * cell;
            const inside = Math.min(x, y, side - x, side - y);
            if (inside < 1e-9) continue;
            expect(field.top[row * field.columns + column]).toBeCloseTo(((x + y) * n) / side, 4);
          }
        }
      }),
      { numRuns: 60, seed: 11 },
    );
  });

  test('a wall seen from above covers nothing; an empty mesh is one empty cell', () => {
    const wall = heightField(
      { positions: Float64Array.of(0, 0, 0, 3, 1, 0, 6, 2, 5), triangles: Uint32Array.of(0, 1, 2) },
      0.1,
    );
    expect(wall.top.every(Number.isNaN)).toBe(true);
    const none = heightField({ positions: new Float64Array(0), triangles: new Uint32Array(0) }, 0.1);
    expect([none.columns, none.rows]).toEqual([1, 1]);
    expect(Number.isNaN(none.top[0])).toBe(true);
  });

  test('covers the box of the mesh and leaves its input alone', () => {
    const mesh = soup(5, 50, 1);
    const before = mesh.positions.slice();
    const field = heightField(mesh, 0.7);
    expect(mesh.positions).toEqual(before);
    for (let i = 0; i < before.length; i += 3) {
      expect(before[i]).toBeGreaterThanOrEqual(field.x0 - 0.35 - 1e-9);
      expect(before[i]).toBeLessThanOrEqual(field.x0 + (field.columns - 0.5) * field.cell + 1e-9);
      expect(before[i + 1]).toBeGreaterThanOrEqual(field.y0 - 0.35 - 1e-9);
      expect(before[i + 1]).toBeLessThanOrEqual(field.y0 + (field.rows - 0.5) * field.cell + 1e-9);
    }
  });

  test('refuses cells of no size and grids beyond 65535 cells a side', () => {
    const mesh = soup(6, 10, 1);
    expect(() => heightField(mesh, 0)).toThrow(RangeError);
    expect(() => heightField(mesh, 1e-4)).toThrow(/too fine/);
  });
});
