import { beforeAll, describe, expect, test } from 'vitest';
import { dropCrumbs, dropFolds } from '../../src/geometry/meshFolds.ts';
import { meshTotals } from '../../src/geometry/meshTotals.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { simplifierReady, simplifyMesh } from '../../src/geometry/simplifyMesh.ts';
import { ellipsoid } from '../intake/support/shapes.ts';

const AXES = [28, 60, 11] as const;
const WHOLE = (4 / 3) * Math.PI * AXES[0] * AXES[1] * AXES[2];

beforeAll(() => simplifierReady);

describe('simplifying a mesh', () => {
  const mesh = ellipsoid(120, 160, AXES);
  const slabs = { slab: 6000, whole: 20_000 };

  test('within the target nothing changes', () => {
    expect(simplifyMesh(mesh, 1e6).triangles).toBe(mesh.triangles);
  });

  test.each([
    ['as a whole', undefined],
    ['in slabs and then as a whole', slabs],
    ['in slabs alone', { ...slabs, whole: 0 }],
  ])(
    '%s: about the target, closed, on vertices of the mesh, as near as it says; the input is untouched',
    (_, limits) => {
      const before = mesh.triangles.slice();
      const { triangles, moved } = simplifyMesh(mesh, 5000, undefined, limits);
      expect(mesh.triangles).toEqual(before);
      expect(triangles.length / 3).toBeGreaterThan(4500);
      expect(triangles.length / 3).toBeLessThan(5500);
      const { numOpen, numNonManifold, numSameWay } = pairHalfEdges(mesh.positions, triangles);
      expect([numOpen, numNonManifold, numSameWay]).toEqual([0, 0, 0]);
      const { volume, area } = meshTotals({ positions: mesh.positions, triangles });
      expect(volume).toBeLessThan(WHOLE);
      expect(WHOLE - volume).toBeLessThan(area * moved);
      expect(moved).toBeGreaterThan(0);
      expect(moved).toBeLessThan(0.5);
    },
  );
});

test('triangles that lie back to back go, twins that lie alike and all others stay in their order', () => {
  const triangles = Uint32Array.of(0, 1, 2, 5, 6, 7, 2, 1, 0, 7, 5, 6, 3, 4, 5);
  expect([...dropFolds(triangles)]).toEqual([5, 6, 7, 7, 5, 6, 3, 4, 5]);
});

test('crumbs that hang on the rest go; what stands apart stays', () => {
  const { positions, triangles } = ellipsoid(10, 12, AXES);
  const n = positions.length / 3;
  const more = Float64Array.of(...positions, 90, 0, 0, 90, 9, 0, 95, 0, 9, 99, 9, 9);
  const tetrahedron = (a: number, b: number, c: number, d: number): number[] => [
    a,
    b,
    c,
    a,
    d,
    b,
    b,
    d,
    c,
    c,
    d,
    a,
  ];
  const apart = tetrahedron(n, n + 1, n + 2, n + 3);
  const hanging = tetrahedron(triangles[0], triangles[1], n + 4, n + 5);
  const all = Uint32Array.of(...triangles, ...hanging, ...apart);
  const kept = dropCrumbs(Float64Array.of(...more, 0, 0, 99, 9, 0, 99), all);
  expect([...kept]).toEqual([...triangles, ...apart]);
});
