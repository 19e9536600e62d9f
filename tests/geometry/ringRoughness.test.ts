import { describe, expect, it } from 'vitest';
import { ringRoughness } from '../../src/geometry/ringRoughness.ts';
import { createRandom } from '../pieces/random.ts';

const circle = (count: number, radius: (i: number) => number): Float64Array =>
  Float64Array.from({ length: 2 * count }, (_, k) => {
    const angle = (2 * Math.PI * (k >> 1)) / count;
    return radius(k >> 1) * (k % 2 === 0 ? Math.cos(angle) : Math.sin(angle));
  });

describe('how rough a ring is', () => {
  it('of a fine circle: no stray, the sag s²/8R of a chord of one step', () => {
    const { stray, sag } = ringRoughness(
      circle(20_000, () => 20),
      0.5,
    );
    expect(stray).toBeLessThan(1e-5);
    expect(sag).toBeCloseTo(0.25 / 160, 5);
  });

  it('of a circle whose points stray at random: their standard deviation', () => {
    const random = createRandom(4);
    const count = 1000;
    const { stray } = ringRoughness(
      circle(count, () => 50 + 0.02 * random.normal()),
      2 * 50 * Math.sin(Math.PI / count),
    );
    expect(Math.abs(stray / 0.02 - 1)).toBeLessThan(0.25);
  });

  it('of a square: corners are too few to tell', () => {
    expect(ringRoughness(Float64Array.from([0, 0, 40, 0, 40, 40, 0, 40]), 0.5)).toEqual({ stray: 0, sag: 0 });
  });
});
