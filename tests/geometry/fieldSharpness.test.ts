import { describe, expect, it } from 'vitest';
import { creaseTop } from '../../src/geometry/creaseTop.ts';
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

describe('creaseTop', () => {
  it.each([0, 0.4, 1.1])('carries the faces of a roof turned by %f on to where they meet', (turn) => {
    const tries = 60;
    let [sum, squares, stated, cut, found] = [0, 0, 0, 0, 0];
    for (let seed = 0; seed < tries; seed++) {
      const grid = faceted(roof(turn), 0.02, seed);
      const top = creaseTop(grid, MIDDLE + (seed % 3) - 1, MIDDLE, false);
      cut += (new CalmField(grid, 0).at(MIDDLE, MIDDLE)!.value - 10) / tries;
      if (top === undefined) continue;
      found++;
      sum += top.value - 10;
      squares += (top.value - 10) ** 2;
      stated += top.error ** 2;
      expect(top.trust).toBeGreaterThan(0);
      expect(top.trust).toBeLessThan(1);
    }
    expect(found).toBeGreaterThan(0.9 * tries);
    // What facets cut off, and a roof's faces do not lack.
    expect(cut).toBeLessThan(-0.04);
    expect(Math.abs(sum / found)).toBeLessThan(0.015);
    expect(Math.sqrt(squares / stated)).toBeLessThan(2.2);
    expect(Math.sqrt(squares / stated)).toBeGreaterThan(0.5);
  });

  it('in a row, gives the height where the crease crosses the row and not where it is highest', () => {
    // The crease falls by 0.2 along itself and crosses rows at about 70 degrees.
    const sloping = (x: number, y: number): number => roof(0.35)(x, y) - 0.2 * y;
    const grid = faceted(sloping, 0.005, 5);
    for (const row of [-4, 0, 4]) {
      const y = row * CELL;
      let exact = -Infinity;
      for (let x = -2; x < 2; x += 0.001) exact = Math.max(exact, sloping(x, y));
      const column = Math.round(MIDDLE + (y * Math.tan(0.35)) / CELL);
      expect(Math.abs(creaseTop(grid, column, MIDDLE + row, true)!.value - exact)).toBeLessThan(0.02);
      expect(creaseTop(grid, column, MIDDLE + row, false)!.value).toBeGreaterThan(exact + 0.04);
    }
  });

  it('sees no crease in a dome', () => {
    const seen = Array.from({ length: 60 }, (_, seed) =>
      creaseTop(
        faceted((x, y) => 10 - (x * x) / 30 - (y * y) / 60, 0.03, 100 + seed),
        MIDDLE,
        MIDDLE,
        false,
      ),
    );
    expect(seen.filter((height) => height !== undefined).length).toBeLessThan(6);
  });
});

describe('CalmField.peak', () => {
  /** Mean and root mean square of its errors over fields of faceted noise. */
  const errors = (height: (x: number, y: number) => number): { mean: number; rms: number } => {
    const tries = 40;
    const missed = Array.from(
      { length: tries },
      (_, seed) => new CalmField(faceted(height, 0.03, 500 + seed), 0.03).peak()!.value - 10,
    );
    return {
      mean: missed.reduce((sum, e) => sum + e, 0) / tries,
      rms: Math.sqrt(missed.reduce((sum, e) => sum + e * e, 0) / tries),
    };
  };

  it.each([0, 0.4, 1.1])('has the height of a roof turned by %f, and not of its facets', (turn) => {
    const { mean, rms } = errors(roof(turn));
    // A smooth fit through the facets lacks 0.05 and more.
    expect(Math.abs(mean)).toBeLessThan(0.03);
    expect(rms).toBeLessThan(0.04);
  });

  it('does not raise a dome', () => {
    const { mean, rms } = errors((x, y) => 10 - (x * x) / 30 - (y * y) / 60);
    expect(Math.abs(mean)).toBeLessThan(0.015);
    expect(rms).toBeLessThan(0.02);
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
