import { describe, expect, it } from 'vitest';
import { calmSeries } from '../../src/geometry/calmSeries.ts';
import { createRandom } from '../pieces/random.ts';

const PLACE = Float64Array.from({ length: 101 }, (_, k) => 0.5 * k);
const arch = (y: number): number => 200 - (y - 22) ** 2 / 5;
const sampled = (f: (y: number) => number, sigma: number, seed: number): Float64Array => {
  const random = createRandom(seed);
  return PLACE.map((y) => f(y) + (sigma > 0 ? sigma * random.normal() : 0));
};

describe('calmSeries', () => {
  it('without noise gives the sample back', () => {
    expect(calmSeries(PLACE, sampled(arch, 0, 1), 20, 7, 0, 0.5)).toEqual({ value: 7, error: 0 });
  });

  it('keeps a quadratic, also between the samples', () => {
    for (const at of [11, 20.2, 33.9]) {
      const { value } = calmSeries(PLACE, sampled(arch, 0, 1), at, arch(at), 1e-3, 0.5);
      expect(value).toBeCloseTo(arch(at), 9);
    }
  });

  it('takes half the noise or more off, and states the error that is left (100 seeds)', () => {
    let squares = 0;
    let stated = 0;
    for (let seed = 0; seed < 100; seed++) {
      const values = sampled(arch, 2, seed);
      const { value, error } = calmSeries(PLACE, values, PLACE[40], values[40], 2, 0.5);
      squares += (value - arch(PLACE[40])) ** 2 / 100;
      stated += error / 100;
    }
    expect(Math.sqrt(squares)).toBeLessThan(1);
    expect(Math.sqrt(squares) / stated).toBeGreaterThan(0.7);
    expect(Math.sqrt(squares) / stated).toBeLessThan(1.4);
  });

  it('does not reach over a jump', () => {
    const step = (y: number): number => (y < 20.1 ? 100 : 140);
    for (let seed = 0; seed < 20; seed++) {
      const values = sampled(step, 2, seed);
      const { value } = calmSeries(PLACE, values, PLACE[40], values[40], 2, 0.5);
      expect(Math.abs(value - 100)).toBeLessThan(8);
    }
  });

  it('keeps the sample where neighbours are missing', () => {
    const values = sampled(arch, 0, 1);
    values[39] = Number.NaN;
    expect(calmSeries(PLACE, values, PLACE[40], 42, 2, 0.5)).toEqual({ value: 42, error: 2 });
    expect(calmSeries(PLACE, values, PLACE[1], 42, 2, 0.5)).toEqual({ value: 42, error: 2 });
  });
});
