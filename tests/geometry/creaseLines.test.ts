import { describe, expect, test } from 'vitest';
import { type CreaseSettings, creaseLines } from '../../src/geometry/creaseLines.ts';
import { createRandom } from '../pieces/random.ts';

const COLUMNS = 140;
const ROWS = 120;
const CELL = 0.15;
const SETTINGS: CreaseSettings = { sigma: 2.2, strong: 0.3, weak: 0.13, rim: 5, shortest: 20 };

/** A grid of heights by a formula of x and y in units of height; NaN outside a disc. */
function grid(height: (x: number, y: number) => number): Float32Array {
  return Float32Array.from({ length: COLUMNS * ROWS }, (_, k) => {
    const [column, row] = [k % COLUMNS, Math.floor(k / COLUMNS)];
    const outside = Math.hypot(column - COLUMNS / 2, row - ROWS / 2) > 55;
    return outside ? NaN : height(column * CELL, row * CELL);
  });
}

const [MX, MY] = [(COLUMNS * CELL) / 2, (ROWS * CELL) / 2];
/** Distance from a line through the middle that leans by 25°, and how far along it. */
const TURN = (25 * Math.PI) / 180;
const off = (x: number, y: number): number => (x - MX) * Math.cos(TURN) + (y - MY) * Math.sin(TURN);

describe('crease lines', () => {
  test.each([0, 0.01])('a ridge is one line, along it to within half a cell (noise %d, seed 7)', (sigma) => {
    const random = createRandom(7);
    const lines = creaseLines(
      grid((x, y) => -0.6 * Math.abs(off(x, y)) + sigma * random.normal()),
      COLUMNS,
      CELL,
      SETTINGS,
    );
    expect(lines.length).toBe(1);
    const [line] = lines;
    const far = Array.from({ length: line.length / 2 }, (_, i) =>
      Math.abs(off(line[2 * i] * CELL, line[2 * i + 1] * CELL)),
    );
    expect(far.reduce((sum, d) => sum + d, 0) / far.length).toBeLessThan(0.5 * CELL);
    // From rim to rim of the disc, but for the cells that are left out there.
    const [x0, y0] = line;
    const [x1, y1] = line.subarray(-2);
    expect(Math.hypot(x1 - x0, y1 - y0)).toBeGreaterThan(2 * 55 - 4 * SETTINGS.rim);
  });

  test('hollows, planes and gentle domes have none', () => {
    for (const height of [
      (x: number, y: number) => 0.6 * Math.abs(off(x, y)),
      (x: number, y: number) => 0.4 * x - 0.2 * y,
      (x: number, y: number) => -((x - MX) ** 2 + (y - MY) ** 2) / (2 * 40),
    ])
      expect(creaseLines(grid(height), COLUMNS, CELL, SETTINGS)).toEqual([]);
  });

  test('the rim of what was scanned is no crease', () => {
    const lines = creaseLines(
      grid(() => 3),
      COLUMNS,
      CELL,
      SETTINGS,
    );
    expect(lines).toEqual([]);
  });

  test('two ridges that cross are followed through', () => {
    const across = (x: number, y: number): number => (x - MX) * Math.sin(TURN) - (y - MY) * Math.cos(TURN);
    const lines = creaseLines(
      grid((x, y) => -0.5 * Math.abs(off(x, y)) - 0.5 * Math.abs(across(x, y))),
      COLUMNS,
      CELL,
      SETTINGS,
    );
    const length = lines.reduce((sum, line) => {
      const steps = Array.from({ length: line.length / 2 - 1 }, (_, i) =>
        Math.hypot(line[2 * i + 2] - line[2 * i], line[2 * i + 3] - line[2 * i + 1]),
      );
      return sum + steps.reduce((a, b) => a + b, 0);
    }, 0);
    expect(length).toBeGreaterThan(0.85 * 4 * 50);
    expect(length).toBeLessThan(1.15 * 4 * 55);
  });
});
