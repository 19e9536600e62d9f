import { describe, expect, it } from 'vitest';
import { creaseHeight } from '../../src/geometry/creaseHeight.ts';
import { CalmField, type Grid } from '../../src/geometry/fieldPeak.ts';
import { createRandom } from '../pieces/random.ts';

const SIZE = 61;
const CELL = 0.15;
const GRAIN = 0.5;
const MIDDLE = (SIZE - 1) / 2;

/** A surface over x, y in mm from the middle, as flat facets over a jittered lattice have it: vertices on it, with noise. */
function faceted(height: (x: number, y: number) => number, sigma: number, seed: number): Grid {
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
const roof = (turn: number) => (x: number, y: number) => {
  const t = Math.cos(turn) * x + Math.sin(turn) * y;
  const s = -Math.sin(turn) * x + Math.cos(turn) * y;
  return 10 - (t < 0 ? -0.5 * t : 0.3 * t) - (t * t) / 40 - (s * s) / 60;
};

describe('creaseHeight', () => {
  it.each([0, 0.4, 1.1])('carries the faces of a roof turned by %f on to where they meet', (turn) => {
    const tries = 40;
    let [sum, cut, found] = [0, 0, 0];
    for (let seed = 0; seed < tries; seed++) {
      const grid = faceted(roof(turn), 0.02, seed);
      const height = creaseHeight(grid, MIDDLE + (seed % 3) - 1, MIDDLE);
      cut += (new CalmField(grid, 0).at(MIDDLE, MIDDLE)!.value - 10) / tries;
      if (height === undefined) continue;
      found++;
      sum += height - 10;
    }
    expect(found).toBeGreaterThan(0.9 * tries);
    // What facets cut off, and a roof's faces do not lack.
    expect(cut).toBeLessThan(-0.04);
    expect(Math.abs(sum / found)).toBeLessThan(0.015);
  });

  it('sees no crease in a dome', () => {
    const seen = Array.from({ length: 60 }, (_, seed) =>
      creaseHeight(
        faceted((x, y) => 10 - (x * x) / 30 - (y * y) / 60, 0.03, 100 + seed),
        MIDDLE,
        MIDDLE,
      ),
    );
    expect(seen.filter((height) => height !== undefined).length).toBeLessThan(6);
  });
});

describe('CalmField.sharpness', () => {
  const sharp = (height: (x: number, y: number) => number): number => {
    const field = new CalmField(faceted(height, 0, 3), 0);
    return field.sharpness(field.peak()!);
  };

  it('tells what facets cut off crests and cones, and next to nothing on a dome', () => {
    expect(sharp((x, y) => 10 - 0.5 * Math.abs(x + 0.3 * y))).toBeGreaterThan(0.04);
    expect(sharp((x, y) => 10 - 0.5 * Math.hypot(x, y))).toBeGreaterThan(0.02);
    expect(sharp((x, y) => 10 - (x * x + y * y) / 40)).toBeLessThan(0.006);
  });
});
