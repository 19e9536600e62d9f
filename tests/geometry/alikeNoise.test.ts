import { describe, expect, it } from 'vitest';
import { alikeNoise } from '../../src/geometry/alikeNoise.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { surfaceNoise } from '../../src/geometry/surfaceNoise.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { createRandom } from '../pieces/random.ts';

const SIZE = 40;
const EDGE = 0.25;

/** A jittered lattice of triangles over SIZE × SIZE mm at heights over x, y from its middle. */
function sheet(height: (x: number, y: number) => number, seed: number): TriangleMesh {
  const random = createRandom(seed);
  const n = Math.round(SIZE / EDGE) + 1;
  const positions = new Float64Array(3 * n * n);
  for (let k = 0; k < n * n; k++) {
    const x = ((k % n) - (n - 1) / 2 + 0.3 * random.normal() * 0.5) * EDGE;
    const y = (Math.floor(k / n) - (n - 1) / 2 + 0.3 * random.normal() * 0.5) * EDGE;
    positions.set([x, y, height(x, y)], 3 * k);
  }
  const triangles: number[] = [];
  for (let r = 0; r + 1 < n; r++) {
    for (let c = 0; c + 1 < n; c++) {
      const a = r * n + c;
      triangles.push(a, a + 1, a + n, a + 1, a + n + 1, a + n);
    }
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}

/** A random field of waves as long as `from` to `to` mm, of standard deviation 1. */
function waves(from: number, to: number, seed: number): (x: number, y: number) => number {
  const random = createRandom(seed);
  const all = Array.from({ length: 60 }, () => {
    const k = (2 * Math.PI) / (from + (to - from) * random.next());
    const turn = 2 * Math.PI * random.next();
    return [k * Math.cos(turn), k * Math.sin(turn), 2 * Math.PI * random.next()];
  });
  return (x, y) =>
    Math.sqrt(2 / all.length) * all.reduce((sum, [u, v, p]) => sum + Math.sin(u * x + v * y + p), 0);
}

const dome = (x: number, y: number): number => -(x * x) / 60 - (y * y) / 90;
/** Shallow scars side by side with arrises between them. */
const scarred = (x: number, y: number): number => {
  const away = (v: number, step: number): number => v - step * Math.round(v / step);
  return (away(x, 14) ** 2 + away(y + 3 * Math.round(x / 14), 13) ** 2) / 20;
};

function told(height: (x: number, y: number) => number, seed: number) {
  const mesh = sheet(height, seed);
  const twins = pairHalfEdges(mesh.positions, mesh.triangles).pairs;
  const { noise, meanEdge } = surfaceNoise(mesh, twins);
  return alikeNoise(mesh, twins, noise, meanEdge);
}

const noiseOf = (...of: Parameters<typeof told>) => told(...of).noise;

describe('alikeNoise', () => {
  it.each([0.01, 0.03, 0.05])(
    'tells waves of a few millimetres, %d mm high, on smooth and on scarred faces',
    (sigma) => {
      for (const [seed, shape] of [
        [1, dome],
        [2, scarred],
      ] as const) {
        const shared = waves(1.6, 4, seed);
        const found = noiseOf((x, y) => shape(x, y) + sigma * shared(x, y), seed);
        expect(found).toBeDefined();
        expect(found!.sigma).toBeGreaterThan(0.6 * sigma);
        expect(found!.sigma).toBeLessThan(1.7 * sigma);
        expect(found!.reach).toBeGreaterThan(0.5);
        expect(found!.reach).toBeLessThan(4);
      }
    },
  );

  it('tells them beside the noise of each vertex', () => {
    const random = createRandom(9);
    const shared = waves(1.6, 4, 9);
    const found = noiseOf((x, y) => dome(x, y) + 0.04 * shared(x, y) + 0.01 * random.normal(), 9);
    expect(found!.sigma).toBeGreaterThan(0.025);
    expect(found!.sigma).toBeLessThan(0.065);
  });

  it('finds none in what each vertex errs by itself, nor in shape', () => {
    for (let seed = 20; seed < 26; seed++) {
      const random = createRandom(seed);
      for (const sigma of [0, 0.005, 0.05]) {
        expect(noiseOf((x, y) => dome(x, y) + sigma * random.normal(), seed)).toBeUndefined();
        expect(noiseOf((x, y) => scarred(x, y) + sigma * random.normal(), seed)).toBeUndefined();
      }
    }
  });

  it('says how much of it there may be at most: never less than there is, and little on calm faces (seeds 30, 31)', () => {
    for (const reach of [1.6, 4]) {
      const shared = waves(reach, 2.5 * reach, 30);
      expect(told((x, y) => dome(x, y) + 0.05 * shared(x, y), 30).most).toBeGreaterThan(0.05);
    }
    const random = createRandom(31);
    expect(told((x, y) => dome(x, y) + 0.01 * random.normal(), 31).most).toBeLessThan(0.15);
  });
});
