import { describe, expect, test } from 'vitest';
import type { ClosedLine } from '../../src/geometry/closedLine.ts';
import { lineSpread } from '../../src/geometry/lineSpread.ts';
import { createRandom } from '../pieces/random.ts';

const COUNT = 1500;
const RADIUS = 25;
const SIGMA = 0.04;

/** An oval with noise along its normal that is a moving mean, by a bell of `width` points, of independent draws; SIGMA in all. */
function noisyOval(width: number, sigma: number): ClosedLine {
  const random = createRandom(7);
  const own = Float64Array.from({ length: COUNT }, () => random.normal());
  const bell = Array.from({ length: 8 * Math.ceil(width) + 1 }, (_, k) =>
    width > 0 ? Math.exp(-0.5 * ((k - 4 * Math.ceil(width)) / width) ** 2) : 1,
  );
  const size = Math.hypot(...bell);
  const noise = own.map((_, i) => bell.reduce((sum, w, k) => sum + w * own[(i + k) % COUNT], 0) / size);
  const x = new Float64Array(COUNT);
  const y = new Float64Array(COUNT);
  const arc = new Float64Array(COUNT);
  for (let i = 0; i < COUNT; i++) {
    const angle = (2 * Math.PI * i) / COUNT;
    x[i] = (RADIUS + sigma * noise[i]) * Math.cos(angle);
    y[i] = (1.6 * RADIUS + sigma * noise[i]) * Math.sin(angle);
    if (i > 0) arc[i] = arc[i - 1] + Math.hypot(x[i] - x[i - 1], y[i] - y[i - 1]);
  }
  return {
    channels: [x, y],
    arc,
    length: arc[COUNT - 1] + Math.hypot(x[0] - x[COUNT - 1], y[0] - y[COUNT - 1]),
  };
}

describe('noise of a line whose points err alike', () => {
  test('scallops that grow faster with the lag than any noise are shape', () => {
    const line = noisyOval(0, 0);
    const scalloped = {
      ...line,
      channels: line.channels.map((c) => c.map((v, i) => v * (1 + 0.03 * Math.cos((2 * Math.PI * i) / 12)))),
    };
    const { alike, sigma } = lineSpread(scalloped, 0.002, 1);
    expect(alike).toBe(1);
    expect(sigma).toBeLessThan(0.3);
  });

  test('independent noise is each point’s own', () => {
    const { sigma, alike } = lineSpread(noisyOval(0, SIGMA), 0.002, 2 * SIGMA);
    expect(alike).toBe(1);
    expect(Math.abs(sigma / SIGMA - 1)).toBeLessThan(0.1);
  });

  test.each([1.5, 2.5])(
    'noise alike over a bell of σ = %f points is found in its size and reach',
    (width) => {
      const { sigma, alike, growth } = lineSpread(noisyOval(width, SIGMA), 0.002, 2 * SIGMA);
      expect(Math.abs(sigma / SIGMA - 1)).toBeLessThan(0.2);
      expect(growth).toBeGreaterThan(2);
      // Averaged over a long stretch such noise counts as that of one point in 2σ√π.
      expect(alike / (2 * width * Math.sqrt(Math.PI))).toBeGreaterThan(0.6);
      expect(alike / (2 * width * Math.sqrt(Math.PI))).toBeLessThan(1.6);
    },
  );

  test('what is far rougher than the surface it runs on is shape', () => {
    expect(lineSpread(noisyOval(0, SIGMA), 0.002, SIGMA / 8)).toEqual({
      sigma: SIGMA / 8,
      alike: 1,
      growth: 1,
    });
  });

  test('what is alike by more than the surface allows is shape', () => {
    const scalloped = noisyOval(2.5, SIGMA);
    expect(lineSpread(scalloped, 0.002, 2 * SIGMA, 2 * SIGMA).growth).toBeGreaterThan(2);
    expect(lineSpread(scalloped, 0.002, 2 * SIGMA, SIGMA / 3)).toMatchObject({ alike: 1, growth: 1 });
  });

  test('a smooth line without noise has none, and none alike', () => {
    const { sigma, alike } = lineSpread(noisyOval(0, 0), 0.002, SIGMA);
    expect(alike).toBe(1);
    expect(sigma).toBeLessThan(1e-4);
  });
});
