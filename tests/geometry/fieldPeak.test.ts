import { describe, expect, it } from 'vitest';
import { CalmField, type Grid } from '../../src/geometry/calmField.ts';
import { FieldPeaks, type Peak } from '../../src/geometry/fieldPeak.ts';
import { topSharpness } from '../../src/geometry/topSharpness.ts';
import { createRandom } from '../pieces/random.ts';
import { faceted } from './facetedField.ts';

const CELL = 0.25;
const SIZE = 161;
const MIDDLE = (SIZE - 1) / 2;

/** A surface over x, y in mm from the grid's middle, sampled with independent noise. */
function field(height: (x: number, y: number) => number, sigma: number, seed: number): CalmField {
  const random = createRandom(seed);
  const values = Float32Array.from({ length: SIZE * SIZE }, (_, k) => {
    const x = ((k % SIZE) - MIDDLE) * CELL;
    const y = (Math.floor(k / SIZE) - MIDDLE) * CELL;
    return height(x, y) + (sigma > 0 ? sigma * random.normal() : 0);
  });
  const grid: Grid = { values, columns: SIZE, rows: SIZE, cell: CELL, grain: CELL };
  return new CalmField(grid, sigma);
}

/** The greatest value anywhere. */
function peak(calm: CalmField): Peak | undefined {
  return new FieldPeaks(calm).peak();
}

const dome = (x: number, y: number): number => 12 - (x * x) / 40 - (y * y) / 120;
const crest = (x: number, y: number): number => 12 - 0.35 * Math.abs(x) - (y * y) / 200;
const turnedCrest = (x: number, y: number): number => crest(0.8 * x + 0.6 * y, 0.8 * y - 0.6 * x);

describe('CalmField and FieldPeaks', () => {
  it('without noise gives samples back and the highest of them', () => {
    const calm = field(dome, 0, 1);
    expect(peak(calm)).toEqual({ value: 12, error: 0, sag: 0, column: MIDDLE, row: MIDDLE, creased: 0 });
    expect(calm.at(MIDDLE + 8, MIDDLE)?.value).toBeCloseTo(12 - 4 / 40, 6);
    expect(new FieldPeaks(calm).peak(0, 0)?.row).toBe(0);
  });

  it.each([0.6, 1, 1.6, 2.4])(
    'puts back what a facet of %d grains cut off a clean crest, and states how sure that is',
    (width) => {
      const grain = 2 * CELL;
      const slope = 0.35;
      // Off the crest by a third of a facet, as facets lie anyhow.
      const [low, high] = [(-width * grain) / 3, (2 * width * grain) / 3];
      const over = (x: number): number =>
        x <= low || x >= high
          ? -slope * Math.abs(x)
          : slope * (low + ((high + low) / (high - low)) * -(x - low));
      const values = Float32Array.from({ length: SIZE * SIZE }, (_, k) => {
        const y = (Math.floor(k / SIZE) - MIDDLE) * CELL;
        return 12 + over(((k % SIZE) - MIDDLE) * CELL) - (y * y) / 200;
      });
      const grid: Grid = { values, columns: SIZE, rows: SIZE, cell: CELL, grain };
      const raw = values.reduce((a, b) => Math.max(a, b));
      const found = peak(new CalmField(grid, 0))!;
      expect(found.value).toBeGreaterThan(raw);
      expect(Math.abs(found.value - 12)).toBeLessThan(0.6 * (12 - raw));
      expect(Math.abs(found.value - 12)).toBeLessThan(2 * found.error);
    },
  );

  it.each([
    ['dome', dome],
    ['crest', crest],
    ['crest askew', turnedCrest],
  ])('finds the height of a %s under noise without its upward pull', (_, height) => {
    const sigma = 0.07;
    let pull = 0;
    let errors = 0;
    let highest = 0;
    const tries = 30;
    for (let seed = 0; seed < tries; seed++) {
      const calm = field(height, sigma, seed);
      const found = peak(calm)!;
      pull += (found.value - 12) / tries;
      errors += (found.value - 12) ** 2 / tries;
      highest += calm.grid.values.reduce((a, b) => Math.max(a, b)) / tries;
      expect(Math.abs(found.value - 12)).toBeLessThan(4 * Math.max(found.error, 0.01));
    }
    expect(Math.abs(pull)).toBeLessThan(0.05);
    expect(Math.sqrt(errors)).toBeLessThan(0.05);
    // What the highest sample would have said.
    expect(highest - 12).toBeGreaterThan(0.1);
  });

  it('states the error that repeated noise shows', () => {
    const sigma = 0.07;
    let squares = 0;
    let stated = 0;
    const tries = 60;
    for (let seed = 0; seed < tries; seed++) {
      const calmed = field(dome, sigma, 100 + seed).at(MIDDLE + 13, MIDDLE - 9)!;
      squares += (calmed.value - dome(13 * CELL, -9 * CELL)) ** 2 / tries;
      stated += calmed.error / tries;
    }
    expect(Math.sqrt(squares)).toBeLessThan(1.5 * stated);
    expect(Math.sqrt(squares)).toBeGreaterThan(0.5 * stated);
    expect(stated).toBeLessThan(0.5 * sigma);
  });

  it('beside a step looks for the crest, and not on the smooth flank where means are highest (seeds from 300)', () => {
    const sigma = 0.03;
    const height = (x: number, y: number): number => {
      const crested = 14 - (x < 0 ? -0.55 * x : 0.45 * x) - (y < 0 ? -0.02 * y : 0.3 * y);
      const over = y + 0.4 * x - 0.6;
      return over > 0 ? crested - 1.7 * over : crested;
    };
    let squares = 0;
    const tries = 20;
    for (let seed = 0; seed < tries; seed++) {
      const field = new CalmField(faceted(height, sigma, 300 + seed), sigma);
      const found = peak(field)!;
      squares += ((found.value - 14) / Math.hypot(found.error, topSharpness(field, found))) ** 2 / tries;
      expect(Math.abs(found.value - 14)).toBeLessThan(0.15);
    }
    // Facets cut off such a corner by up to a tenth of a millimetre: the value cannot have it back, its error tells of most of it.
    expect(Math.sqrt(squares)).toBeLessThan(3);
  });

  it('leaves empty cells out and says so where there is nothing', () => {
    const calm = field((x, y) => (x < 0 ? dome(x, y) : Number.NaN), 0.05, 3);
    expect(calm.at(MIDDLE + 3, MIDDLE)).toBeUndefined();
    expect(calm.at(-1, 0)).toBeUndefined();
    // At a brink only half a disc is there, and the error is stated as the larger that it is.
    const brink = peak(calm)!;
    expect(brink.column).toBeLessThan(MIDDLE);
    expect(Math.abs(brink.value - dome(-CELL, 0))).toBeLessThan(4 * brink.error);
    expect(brink.error).toBeGreaterThan(0.02);
    expect(peak(field(() => Number.NaN, 0.05, 4))).toBeUndefined();
  });
});
