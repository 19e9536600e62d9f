import jStat from 'jstat';
import { describe, expect, it } from 'vitest';
import { CalmField } from '../../src/geometry/calmField.ts';
import { creaseTop, criticalF } from '../../src/geometry/creaseTop.ts';
import { CELL, faceted, MIDDLE, roof } from './facetedField.ts';

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

describe('criticalF', () => {
  // Outside: quantiles of Student's t and of the normal distribution by jstat.
  it.each([6, 8, 12, 20, 40, 100])(
    'over %i degrees of freedom is as seldom as 3.46 standard deviations',
    (freedom) => {
      const seldom = 2 * (1 - jStat.normal.cdf(3.46, 0, 1));
      const exact = jStat.studentt.inv(1 - seldom / 2, freedom) ** 2;
      expect(Math.abs(criticalF(freedom) / exact - 1)).toBeLessThan(Math.min(0.04, 2 / freedom ** 2));
    },
  );
});
