import { describe, expect, it } from 'vitest';
import { facetSag } from '../../src/geometry/facetSag.ts';
import { facetSizes, isEven } from '../../src/geometry/facetSizes.ts';
import { meshTotals } from '../../src/geometry/meshTotals.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { simplifierReady, simplifyMesh } from '../../src/geometry/simplifyMesh.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { toScan } from '../accuracy/toScan.ts';
import { withNoise } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { ellipsoid, lensBar, prism } from '../pieces/solids.ts';

/** By patches of 4 mm. */
const sagOf = (mesh: TriangleMesh, noise = 0) => {
  const scan = toScan(mesh);
  return {
    sag: facetSag(scan.mesh, scan.twins, 40, { patch: 4, noise }),
    volume: meshTotals(scan.mesh).volume,
  };
};

/** Of a mesh as it is, inside out or open. */
const facetsOf = (mesh: TriangleMesh, noise: number) =>
  facetSag(mesh, pairHalfEdges(mesh.positions, mesh.triangles).pairs, 40, { patch: 4, noise });

/** Squares of 1 mm in halves, so many either way, about the origin. */
function grid(count: number, height: (x: number, y: number) => number): TriangleMesh {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let row = 0; row <= count; row++) {
    for (let column = 0; column <= count; column++) {
      const [x, y] = [column - count / 2, row - count / 2];
      positions.push(x, y, height(x, y));
      if (row === count || column === count) continue;
      const k = (count + 1) * row + column;
      triangles.push(k, k + 1, k + count + 2, k, k + count + 2, k + count + 1);
    }
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

describe('facetSag', () => {
  const exact = (4 / 3) * Math.PI * 20 * 40 * 8;
  const mesh = ellipsoid({ a: 20, b: 40, c: 8, triangles: 4000 });

  it('makes up what an ellipsoid of few triangles lacks of its volume, to a tenth (4/3 π a b c)', () => {
    const { sag, volume } = sagOf(mesh);
    expect(exact - volume).toBeGreaterThan(0.002 * exact);
    expect(Math.abs((volume + sag.whole) / exact - 1)).toBeLessThan((0.1 * (exact - volume)) / exact);
    expect(sag.above / sag.whole).toBeCloseTo(0.5, 1);
    expect(sag.layers.reduce((sum, v) => sum + v, 0)).toBeCloseTo(sag.whole, 9);
  });

  it('leans neither way under noise (seed 4)', () => {
    const noisy = withNoise(mesh, { sigma: 0.05, direction: 'normal' }, createRandom(4));
    expect(sagOf(noisy).sag.whole / sagOf(mesh).sag.whole).toBeCloseTo(1, 1);
  });

  it('adds nothing to a prism, whose creases run along edges', () => {
    const polygon = Float64Array.from([-12, 0, 10, 0, 18, 30, 4, 70, 0, 52, -15, 40]);
    const bar = prism({ polygon, thickness: 7, triangles: 4000 });
    expect(Math.abs(sagOf(bar).sag.whole)).toBeLessThan(1e-4);
  });

  it('tells what hollows have too much, of patches even under noise that drowns single edges (seed 7)', () => {
    // The faces of an ellipsoid turned inside out are all hollow.
    const { positions, triangles } = mesh;
    const inside = { positions, triangles: triangles.toReversed() };
    const clean = facetsOf(inside, 0);
    expect(clean.hollow / clean.whole).toBeCloseTo(-1, 1);
    expect(clean.patches.hollow / clean.hollow).toBeGreaterThan(0.8);
    const noisy = facetsOf(withNoise(inside, { sigma: 0.08, direction: 'normal' }, createRandom(7)), 0.08);
    expect(noisy.hollow).toBeGreaterThan(1.4 * clean.hollow);
    expect(Math.abs(noisy.patches.hollow / clean.hollow - 1)).toBeLessThan(0.2);
    expect(noisy.patches.noise).toBeLessThan(0.3);
  });

  it('takes an arris along edges for one under noise, too, of which next to nothing is cut off (seed 8)', () => {
    const roof = grid(40, (x) => -0.3 * Math.abs(x));
    expect(Math.abs(facetsOf(roof, 0).whole)).toBeLessThan(1e-9);
    const noisy = withNoise(roof, { sigma: 0.03, direction: 'normal' }, createRandom(8));
    const unknown = facetsOf(noisy, 0).whole;
    expect(unknown).toBeGreaterThan(1);
    expect(Math.abs(facetsOf(noisy, 0.03).whole)).toBeLessThan(0.25 * unknown);
  });
});

describe('facets of a simplified mesh', () => {
  it('are told from those of a scan by their sizes', async () => {
    await simplifierReady;
    const bar = toScan(lensBar({ length: 90, width: 40, sagitta: 5, triangles: 20_000 })).mesh;
    expect(isEven(bar)).toBe(true);
    expect(isEven({ ...bar, triangles: simplifyMesh(bar, 2000).triangles })).toBe(false);
  });
});

describe('facetSizes', () => {
  it('are those of the facets at a place: half squares of side 1, three times as long along y beyond y = 10', () => {
    const positions: number[] = [];
    const triangles: number[] = [];
    for (let row = 0; row <= 20; row++) {
      for (let column = 0; column <= 20; column++) positions.push(column, row <= 10 ? row : 3 * row - 20, 0);
    }
    for (let row = 0; row < 20; row++) {
      for (let column = 0; column < 20; column++) {
        const k = 21 * row + column;
        triangles.push(k, k + 1, k + 22, k, k + 22, k + 21);
      }
    }
    const sizes = facetSizes({
      positions: Float64Array.from(positions),
      triangles: Uint32Array.from(triangles),
    });
    expect(sizes.at(5, 4)).toEqual({ xx: 2, xy: 1, yy: 2 });
    expect(sizes.at(5, 30)).toEqual({ xx: 2, xy: 3, yy: 18 });
  });
});
