import { describe, expect, it } from 'vitest';
import { smoothClosedLine } from '../../src/geometry/adaptiveSmooth.ts';
import type { ClosedLine } from '../../src/geometry/closedLine.ts';
import { findCorners } from '../../src/geometry/lineCorners.ts';
import { lineNoise } from '../../src/geometry/lineNoise.ts';
import { createRandom } from '../pieces/random.ts';

function closed(points: readonly (readonly [number, number])[]): ClosedLine {
  const n = points.length;
  const arc = new Float64Array(n);
  let length = 0;
  for (let i = 1; i <= n; i++) {
    const a = points[i - 1];
    const b = points[i % n];
    length += Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (i < n) arc[i] = length;
  }
  return {
    channels: [Float64Array.from(points, (p) => p[0]), Float64Array.from(points, (p) => p[1])],
    arc,
    length,
  };
}

const circle = (n: number, r: number): [number, number][] =>
  Array.from({ length: n }, (_, i) => [
    r * Math.cos((2 * Math.PI * i) / n),
    r * Math.sin((2 * Math.PI * i) / n),
  ]);

/** A square of side 40 with 0.4 between points. */
function square(): [number, number][] {
  const out: [number, number][] = [];
  for (let i = 0; i < 100; i++) out.push([0.4 * i - 20, -20]);
  for (let i = 0; i < 100; i++) out.push([20, 0.4 * i - 20]);
  for (let i = 0; i < 100; i++) out.push([20 - 0.4 * i, 20]);
  for (let i = 0; i < 100; i++) out.push([-20, 20 - 0.4 * i]);
  return out;
}

function shaken(points: readonly [number, number][], sigma: number, seed: number): [number, number][] {
  const random = createRandom(seed);
  return points.map(([x, y]) => [x + sigma * random.normal(), y + sigma * random.normal()]);
}

describe('smoothClosedLine', () => {
  it('changes nothing without noise', () => {
    const line = closed(square());
    const { channels } = smoothClosedLine(line, 0, 4);
    expect(channels[0]).toEqual(line.channels[0]);
    expect(channels[0]).not.toBe(line.channels[0]);
  });

  it('takes at least two thirds of the noise off a circle and leaves no bias in its radius (seed 3)', () => {
    const sigma = 0.05;
    const truth = circle(600, 40);
    const arc = closed(truth);
    const { channels } = smoothClosedLine(
      { ...closed(shaken(truth, sigma, 3)), arc: arc.arc, length: arc.length },
      sigma,
      6,
    );
    let sum = 0;
    let sumSq = 0;
    for (let i = 0; i < truth.length; i++) {
      const off = Math.hypot(channels[0][i], channels[1][i]) - 40;
      sum += off;
      sumSq += off * off;
    }
    expect(Math.abs(sum / truth.length)).toBeLessThan(0.006);
    expect(Math.sqrt(sumSq / truth.length)).toBeLessThan(sigma / 3);
  });

  it('keeps the corners of a square within the noise (seeds 1…20)', () => {
    const sigma = 0.05;
    const arc = closed(square());
    let sumSq = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const line = { ...closed(shaken(square(), sigma, seed)), arc: arc.arc, length: arc.length };
      const { channels } = smoothClosedLine(line, sigma, 6, findCorners(line, sigma));
      for (const i of [0, 100, 200, 300]) {
        sumSq += (Math.hypot(channels[0][i], channels[1][i]) - 20 * Math.SQRT2) ** 2;
      }
    }
    expect(Math.sqrt(sumSq / 80)).toBeLessThan(sigma);
  });
});

describe('lineNoise', () => {
  it('reads the noise of a shaken circle to 10 % and finds none in a clean one (seed 5)', () => {
    for (const sigma of [0.01, 0.05]) {
      const found = lineNoise(closed(shaken(circle(800, 40), sigma, 5)));
      expect(found / sigma).toBeGreaterThan(0.9);
      expect(found / sigma).toBeLessThan(1.1);
    }
    expect(lineNoise(closed(circle(800, 40)))).toBeLessThan(1e-6);
  });
});
