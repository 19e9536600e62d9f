import { describe, expect, test } from 'vitest';
import { clearance, planGridNear, visitNear } from '../../src/geometry/planGrid.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { createRandom, type Random } from '../pieces/random.ts';

/** Loose triangles of many sizes, some far outside, and a closed line through their midst. */
function scene(random: Random): { mesh: TriangleMesh; line: Float64Array } {
  const count = 400;
  const positions = new Float64Array(9 * count);
  for (let t = 0; t < count; t++) {
    const size = random.between(0.1, random.next() < 0.1 ? 12 : 1.5);
    const centre = [random.between(-15, 15), random.between(-15, 15), random.between(-3, 3)];
    for (let k = 0; k < 9; k++) positions[9 * t + k] = centre[k % 3] + random.between(-size, size);
  }
  const line = Float64Array.from(
    Array.from({ length: 24 }, (_, i) => {
      const a = (2 * Math.PI * i) / 24;
      return [9 * Math.cos(a), 6 * Math.sin(a), Math.sin(3 * a)];
    }).flat(),
  );
  return { mesh: { positions, triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i) }, line };
}

function distanceToLine(line: Float64Array, x: number, y: number): number {
  let best = Infinity;
  for (let i = 0; i < line.length; i += 3) {
    const j = (i + 3) % line.length;
    const [ex, ey] = [line[j] - line[i], line[j + 1] - line[i + 1]];
    const f = Math.min(1, Math.max(0, ((x - line[i]) * ex + (y - line[i + 1]) * ey) / (ex * ex + ey * ey)));
    best = Math.min(best, Math.hypot(x - line[i] - f * ex, y - line[i + 1] - f * ey));
  }
  return best;
}

describe.each([1, 2, 3])('the grid of triangles near a line, seed %d', (seed) => {
  const { mesh, line } = scene(createRandom(seed));
  const cell = 0.9;
  const grid = planGridNear(mesh, line, cell, 2);

  test('starts never fall and close with the number of items', () => {
    expect(grid.starts).toHaveLength(grid.columns * grid.rows + 1);
    for (let c = 1; c < grid.starts.length; c++) {
      expect(grid.starts[c]).toBeGreaterThanOrEqual(grid.starts[c - 1]);
    }
    expect(grid.items).toHaveLength(grid.starts[grid.starts.length - 1]);
  });

  test('from any place on the line a search finds every near triangle whose box reaches the searched cells', () => {
    const random = createRandom(seed + 100);
    let [sought, missed] = [0, 0];
    for (let trial = 0; trial < 60; trial++) {
      const i = 3 * Math.floor(random.between(0, line.length / 3));
      const j = (i + 3) % line.length;
      const f = random.next();
      const x = line[i] + f * (line[j] - line[i]);
      const y = line[i + 1] + f * (line[j + 1] - line[i + 1]);
      const reach = clearance(grid, x, y, 1);
      expect(reach).toBeGreaterThanOrEqual(cell);
      expect(reach).toBeLessThanOrEqual(1.5 * cell);
      const found = new Set<number>();
      visitNear(grid, x, y, 1, (t) => found.add(t));
      for (let t = 0; t < mesh.triangles.length / 3; t++) {
        const p = mesh.positions.subarray(9 * t, 9 * t + 9);
        const corners = [0, 3, 6].map((k) => [p[k], p[k + 1]]);
        if (!corners.some(([cx, cy]) => distanceToLine(line, cx, cy) < 2 * cell)) continue;
        // A corner within `reach` is surely within the square of cells.
        if (corners.some(([cx, cy]) => Math.max(Math.abs(cx - x), Math.abs(cy - y)) < reach)) {
          sought++;
          if (!found.has(t)) missed++;
        }
      }
    }
    expect(sought).toBeGreaterThan(100);
    expect(missed).toBe(0);
  });

  test('nothing is listed whose box lies elsewhere', () => {
    let strays = 0;
    for (let row = 0; row < grid.rows; row++) {
      for (let column = 0; column < grid.columns; column++) {
        const c = row * grid.columns + column;
        for (let i = grid.starts[c]; i < grid.starts[c + 1]; i++) {
          const p = mesh.positions.subarray(9 * grid.items[i], 9 * grid.items[i] + 9);
          const x = grid.x0 + column * cell;
          const y = grid.y0 + row * cell;
          const touches =
            Math.min(p[0], p[3], p[6]) <= x + cell + 1e-9 &&
            Math.max(p[0], p[3], p[6]) >= x - 1e-9 &&
            Math.min(p[1], p[4], p[7]) <= y + cell + 1e-9 &&
            Math.max(p[1], p[4], p[7]) >= y - 1e-9;
          if (!touches) strays++;
        }
      }
    }
    expect(strays).toBe(0);
  });
});
