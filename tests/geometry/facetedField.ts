import type { Grid } from '../../src/geometry/calmField.ts';
import { createRandom } from '../pieces/random.ts';

/** Cells along a side; the middle one; sizes in mm. */
const SIZE = 61;
export const CELL = 0.15;
const GRAIN = 0.5;
export const MIDDLE = (SIZE - 1) / 2;

/** A surface over x, y in mm from the middle, as flat facets over a jittered lattice have it: vertices on it, with noise. */
export function faceted(height: (x: number, y: number) => number, sigma: number, seed: number): Grid {
  const random = createRandom(seed);
  const [dx, dy] = [random.next() * GRAIN, random.next() * GRAIN];
  const reach = Math.ceil((SIZE * CELL) / GRAIN) + 4;
  const lattice = Float64Array.from({ length: reach * reach }, (_, k) => {
    const x = ((k % reach) - reach / 2) * GRAIN + dx;
    const y = (Math.floor(k / reach) - reach / 2) * GRAIN + dy;
    return height(x, y) + sigma * random.normal();
  });
  const values = Float32Array.from({ length: SIZE * SIZE }, (_, k) => {
    const u = (((k % SIZE) - MIDDLE) * CELL - dx) / GRAIN + reach / 2;
    const v = ((Math.floor(k / SIZE) - MIDDLE) * CELL - dy) / GRAIN + reach / 2;
    const [i, j] = [Math.floor(u), Math.floor(v)];
    const [fu, fv] = [u - i, v - j];
    const at = (a: number, b: number): number => lattice[b * reach + a];
    // Two triangles to a square of the lattice.
    return fu + fv < 1
      ? at(i, j) + fu * (at(i + 1, j) - at(i, j)) + fv * (at(i, j + 1) - at(i, j))
      : at(i + 1, j + 1) +
          (1 - fu) * (at(i, j + 1) - at(i + 1, j + 1)) +
          (1 - fv) * (at(i + 1, j) - at(i + 1, j + 1));
  });
  return { values, columns: SIZE, rows: SIZE, cell: CELL, grain: GRAIN };
}

/** A roof that falls by 0.5 and 0.3 to either side of a crease at `turn`, with bent faces; its crest is 10 high. */
export const roof = (turn: number) => (x: number, y: number) => {
  const t = Math.cos(turn) * x + Math.sin(turn) * y;
  const s = -Math.sin(turn) * x + Math.cos(turn) * y;
  return 10 - (t < 0 ? -0.5 * t : 0.3 * t) - (t * t) / 40 - (s * s) / 60;
};
