import { describe, expect, it } from 'vitest';
import { fillHoles } from '../../src/geometry/fillHoles.ts';
import { meshTotals } from '../../src/geometry/meshTotals.ts';
import { createRandom } from '../pieces/random.ts';
import { ellipsoid, tablet } from '../pieces/solids.ts';

const COLUMNS = 40;
const plane = (k: number): number => 3 + 0.2 * (k % COLUMNS) - 0.1 * Math.floor(k / COLUMNS);

describe('fillHoles', () => {
  it('continues a plane over a hole exactly, touches nothing else', () => {
    const values = Float32Array.from({ length: 1200 }, (_, k) => plane(k));
    const mask = new Uint8Array(1200).fill(1);
    mask[5] = 0;
    values[5] = Number.NaN;
    const hole: number[] = [];
    for (let row = 8; row < 22; row++) for (let c = 10; c < 25; c++) hole.push(row * COLUMNS + c);
    for (const k of hole) values[k] = Number.NaN;
    const filled = fillHoles(values, mask, COLUMNS);
    expect(Array.from(filled)).toEqual(hole);
    values.forEach((v, k) => {
      if (k === 5) expect(v).toBeNaN();
      else expect(v).toBeCloseTo(plane(k), 3);
    });
  });

  it('is a membrane: no filled value beyond those round the hole', () => {
    const random = createRandom(4);
    const values = Float32Array.from({ length: 1200 }, () => random.next());
    for (let row = 5; row < 20; row++) for (let c = 5; c < 30; c++) values[row * COLUMNS + c] = Number.NaN;
    fillHoles(values, new Uint8Array(1200).fill(1), COLUMNS);
    for (const v of values) {
      expect(v).toBeGreaterThanOrEqual(0);
      expect(v).toBeLessThanOrEqual(1);
    }
  });

  it('leaves alone what no value surrounds', () => {
    const values = new Float32Array(9).fill(Number.NaN);
    expect(fillHoles(values, new Uint8Array(9).fill(1), 3).length).toBe(0);
  });
});

describe('meshTotals', () => {
  it('of a box', () => {
    const { volume, area } = meshTotals(tablet({ length: 50, width: 30, thickness: 8, triangles: 4000 }));
    expect(volume).toBeCloseTo(50 * 30 * 8, 6);
    expect(area).toBeCloseTo(2 * (50 * 30 + 50 * 8 + 30 * 8), 6);
  });

  it('noise adds the area that roughening foretells', () => {
    const mesh = ellipsoid({ a: 30, b: 30, c: 30, triangles: 60_000 });
    const clean = meshTotals(mesh);
    expect(clean.volume / ((4 / 3) * Math.PI * 27_000)).toBeCloseTo(1, 3);
    const random = createRandom(8);
    const sigma = 0.03;
    const positions = Float64Array.from(mesh.positions);
    for (let v = 0; v < positions.length; v += 3) {
      const [x, y, z] = [positions[v], positions[v + 1] - 30, positions[v + 2]];
      const d = (sigma * random.normal()) / Math.hypot(x, y, z);
      positions[v] += d * x;
      positions[v + 1] += d * y;
      positions[v + 2] += d * z;
    }
    const noisy = meshTotals({ positions, triangles: mesh.triangles });
    const foretold = clean.roughening * sigma * sigma;
    expect(foretold).toBeGreaterThan(0.003 * clean.area);
    expect((noisy.area - clean.area) / foretold).toBeGreaterThan(0.85);
    expect((noisy.area - clean.area) / foretold).toBeLessThan(1.15);
  });
});
