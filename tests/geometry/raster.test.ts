import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { distanceInside, distanceTo } from '../../src/geometry/rasterDistance.ts';
import { domeOver } from '../../src/geometry/rasterDome.ts';
import {
  growRegion,
  inradius,
  openRegion,
  type Region,
  regionAbove,
  regionRing,
  visitRegion,
} from '../../src/geometry/rasterRegion.ts';

/** 1 where `inside` holds at a cell's column and row. */
function maskOf(columns: number, rows: number, inside: (c: number, r: number) => boolean): Uint8Array {
  return Uint8Array.from({ length: columns * rows }, (_, k) =>
    inside(k % columns, Math.floor(k / columns)) ? 1 : 0,
  );
}

/** A region as a field that is 1 on it and 0 elsewhere. */
function regionOf(
  columns: number,
  rows: number,
  inside: (c: number, r: number) => boolean,
  seed: number,
): Region {
  return regionAbove(Float32Array.from(maskOf(columns, rows, inside)), columns, seed, 0.5);
}

const cellsOf = (region: Region): Set<string> => {
  const out = new Set<string>();
  visitRegion(region, (c, r) => out.add(`${c} ${r}`));
  return out;
};

const masks = fc.integer({ min: 1, max: 12 }).chain((columns) =>
  fc.record({
    columns: fc.constant(columns),
    mask: fc
      .array(fc.integer({ min: 0, max: 3 }), { minLength: columns, maxLength: 12 * columns })
      .map((a) => Uint8Array.from(a.slice(0, a.length - (a.length % columns)), (v) => (v > 0 ? 1 : 0))),
  }),
);

describe('distances over a mask', () => {
  test('agree with every pair of cells', () => {
    fc.assert(
      fc.property(masks, ({ columns, mask }) => {
        const rows = mask.length / columns;
        const to = distanceTo(mask, columns);
        const inside = distanceInside(mask, columns);
        for (let k = 0; k < mask.length; k++) {
          const [c, r] = [k % columns, Math.floor(k / columns)];
          let [nearest, out] = [Infinity, Math.min(c + 1, r + 1, columns - c, rows - r)];
          for (let j = 0; j < mask.length; j++) {
            const away = Math.hypot((j % columns) - c, Math.floor(j / columns) - r);
            if (mask[j] === 1) nearest = Math.min(nearest, away);
            else out = Math.min(out, away);
          }
          if (nearest < Infinity) expect(to[k]).toBeCloseTo(nearest, 5);
          else expect(to[k]).toBeGreaterThan(1e5);
          expect(inside[k]).toBeCloseTo(Math.max(0, out - 0.5), 5);
        }
      }),
      { numRuns: 200, seed: 3 },
    );
  });
});

describe('the dome over a mask', () => {
  test('is (R² − ρ²)/4 over a disc', () => {
    const [size, R] = [161, 70];
    const u = domeOver(
      maskOf(size, size, (c, r) => Math.hypot(c - 80, r - 80) < R),
      size,
    );
    for (const rho of [0, 20, 40, 60]) {
      const k = 80 * size + 80 + rho;
      expect(Math.abs(u[k] - (R * R - rho * rho) / 4)).toBeLessThan(0.04 * ((R * R) / 4));
    }
  });

  test('is (b² − x²)/2 across the middle of a long strip', () => {
    const [columns, rows, b] = [61, 401, 25];
    const u = domeOver(
      maskOf(columns, rows, (c) => Math.abs(c - 30) < b),
      columns,
    );
    for (const x of [0, 8, 16, 22]) {
      expect(Math.abs(u[200 * columns + 30 + x] - (b * b - x * x) / 2)).toBeLessThan(0.05 * ((b * b) / 2));
    }
  });

  test('is what plain relaxation arrives at in the end over a notched and pierced plan, and 0 outside', () => {
    const [columns, rows] = [90, 130];
    const mask = maskOf(
      columns,
      rows,
      (c, r) =>
        c > 3 &&
        c < 85 &&
        r > 3 &&
        r < 125 &&
        !(c < 30 && Math.abs(r - 60) < 8) &&
        Math.hypot(c - 60, r - 90) > 9,
    );
    const slow = new Float64Array(mask.length);
    for (let sweep = 0; sweep < 4000; sweep++) {
      for (let k = 0; k < mask.length; k++) {
        if (mask[k] === 1)
          slow[k] = (slow[k - 1] + slow[k + 1] + slow[k - columns] + slow[k + columns] + 1) / 4;
      }
    }
    const top = Math.max(...slow);
    domeOver(mask, columns).forEach((u, k) => {
      if (mask[k] === 0) expect(u).toBe(0);
      else expect(Math.abs(u - slow[k])).toBeLessThan(0.04 * top);
    });
  });
});

describe('regions of a grid', () => {
  test('hold the cells that hang together with the seed by their sides', () => {
    const heights = Float32Array.of(1, 1, 0, 1, 0, 0, 0, 1, Number.NaN, 1, 1, 1);
    const region = regionAbove(heights, 4, 0, 0.5);
    expect(cellsOf(region)).toEqual(new Set(['0 0', '1 0']));
    expect(cellsOf(regionAbove(heights, 4, 11, 1))).toEqual(new Set(['3 0', '3 1', '3 2', '2 2', '1 2']));
    expect(regionAbove(heights, 4, 0, 2).count).toBe(0);
  });

  test('opening keeps a disc and cuts its arms', () => {
    const disc = (c: number, r: number) => Math.hypot(c - 40, r - 40) <= 20;
    const arms = (c: number, r: number) => Math.abs(r - 40) <= 2 && c < 78;
    const region = regionOf(80, 80, (c, r) => disc(c, r) || arms(c, r), 40 * 80 + 40);
    const opened = openRegion(region, 6, { column: 40, row: 40 });
    const kept = cellsOf(opened);
    for (let k = 0; k < 6400; k++) {
      const [c, r] = [k % 80, Math.floor(k / 80)];
      // The rim of a disc drawn in cells has corners that no smaller disc reaches.
      if (Math.hypot(c - 40, r - 40) <= 19) expect(kept.has(`${c} ${r}`)).toBe(true);
      if (Math.abs(c - 40) > 22) expect(kept.has(`${c} ${r}`)).toBe(false);
    }
    expect(inradius(region)).toBeCloseTo(20, 0);
    expect(openRegion(region, 25, { column: 40, row: 40 }).count).toBe(0);
  });

  test('opening keeps the part nearest to the asked place', () => {
    const two = (c: number, r: number) =>
      Math.hypot(c - 15, r - 20) <= 9 || Math.hypot(c - 45, r - 20) <= 12 || r === 20;
    const region = regionOf(60, 40, two, 20 * 60 + 15);
    expect(openRegion(region, 4, { column: 16, row: 20 }).count).toBeLessThan(300);
    expect(openRegion(region, 4, { column: 44, row: 20 }).count).toBeGreaterThan(400);
  });

  test('growing adds exactly the cells within the radius, also beyond the window', () => {
    const region = regionOf(7, 5, (c, r) => c === 0 && r === 0, 0);
    const grown = cellsOf(growRegion(region, 2.5));
    for (let c = -4; c <= 4; c++) {
      for (let r = -4; r <= 4; r++) expect(grown.has(`${c} ${r}`)).toBe(Math.hypot(c, r) <= 2.5);
    }
  });

  test('the ring of a disc is counter-clockwise and holds its area', () => {
    const region = regionOf(80, 80, (c, r) => Math.hypot(c - 40, r - 33) <= 25, 33 * 80 + 40);
    const { area, x, y } = polygonMoments([regionRing(region)]);
    expect(area / (Math.PI * 625)).toBeCloseTo(1, 1.7);
    expect(x).toBeCloseTo(40, 1);
    expect(y).toBeCloseTo(33, 1);
    expect(regionRing({ ...region, mask: new Uint8Array(region.mask.length), count: 0 })).toHaveLength(0);
  });
});
