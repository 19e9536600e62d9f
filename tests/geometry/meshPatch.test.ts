import { describe, expect, test } from 'vitest';
import { dropUnusedVertices } from '../../src/geometry/meshCompact.ts';
import { findHoles } from '../../src/geometry/meshHoles.ts';
import { closeHoles } from '../../src/geometry/meshPatch.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { validateMesh } from '../../src/geometry/meshValidate.ts';
import { edgeAcross, rimOnOneFace } from '../../src/geometry/rimFolds.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { volumeOf, without } from '../intake/support/shapes.ts';
import { ellipsoid, tablet, wedgeBar } from '../pieces/solids.ts';

function closed(mesh: TriangleMesh): { mesh: TriangleMesh; holes: number } {
  const triangles = mesh.triangles.slice();
  const positions = dropUnusedVertices(mesh.positions.slice(), triangles).slice();
  const used = { positions, triangles };
  const twins = pairHalfEdges(positions, triangles).pairs;
  const holes = findHoles(used, twins);
  const whole = closeHoles({ mesh: used, twins }, holes);
  expect(validateMesh(whole.mesh, whole.twins, { closed: true })).toEqual([]);
  return { mesh: whole.mesh, holes: holes.length };
}

/** Without the triangles that have a corner nearer than `radius` to a place. */
function bitten(mesh: TriangleMesh, [x, y, z]: readonly [number, number, number], radius: number) {
  const { positions: p, triangles } = mesh;
  const near = (v: number): boolean => Math.hypot(p[3 * v] - x, p[3 * v + 1] - y, p[3 * v + 2] - z) < radius;
  return without(mesh, (t) => [0, 1, 2].some((k) => near(triangles[3 * t + k])));
}

describe('closeHoles where faces meet', () => {
  const WIDTH = 30;
  for (const angle of [30, 60, 85, 115]) {
    const bar = wedgeBar({ length: 60, width: WIDTH, angle, triangles: 20_000, seed: 11 });
    const volume = volumeOf(bar);
    test.each([
      ['left', -WIDTH / 2],
      ['right', WIDTH / 2],
    ])(`a bite out of the %s edge of ${angle}° is given back whole`, (_, x) => {
      for (const radius of [0.8, 1.7, 3]) {
        const hurt = bitten(bar, [x, 31.3, 0], radius);
        expect(hurt.triangles.length).toBeLessThan(bar.triangles.length);
        const { mesh, holes } = closed(hurt);
        expect(holes).toBe(1);
        expect(volumeOf(mesh) / volume).toBeCloseTo(1, 9);
      }
    });
  }
  test('the rim of a hole within a face is measured whole, of one across an edge on either face', () => {
    const bar = wedgeBar({ length: 60, width: WIDTH, angle: 60, triangles: 20_000, seed: 14 });
    const rimOf = (x: number, z: number): { whole: number; oneFace: number } => {
      const mesh = bitten(bar, [x, 30, z], 3);
      const twins = pairHalfEdges(mesh.positions, mesh.triangles).pairs;
      const [hole] = findHoles(mesh, twins);
      return { whole: hole.length, oneFace: rimOnOneFace(mesh, twins, hole.rim) };
    };
    const within = rimOf(WIDTH / 4, (WIDTH / 4) * Math.tan(Math.PI / 6));
    expect(within.oneFace).toBe(within.whole);
    const across = rimOf(WIDTH / 2, 0);
    expect(across.oneFace).toBeLessThan(0.9 * across.whole);
    // Half of what the rim is long, and the edge between.
    expect(across.oneFace).toBeGreaterThan(across.whole / 2 + 5);
  });
  test('the top of a dome is no edge, however steep the dome', () => {
    for (const c of [10, 20, 40]) {
      const dome = ellipsoid({ a: 20, b: 20, c, triangles: 20_000 });
      for (const radius of [2, 5, 9, 14]) {
        const mesh = bitten(dome, [0, 20, c], radius);
        const twins = pairHalfEdges(mesh.positions, mesh.triangles).pairs;
        const [hole] = findHoles(mesh, twins);
        expect(edgeAcross(mesh, twins, hole.rim)).toBeUndefined();
      }
    }
  });
  test('a hole within one flat face is closed flat', () => {
    const slab = tablet({ length: 60, width: WIDTH, thickness: 8, triangles: 20_000, seed: 12 });
    const { mesh } = closed(bitten(slab, [0, 30, 4], 3));
    expect(volumeOf(mesh) / volumeOf(slab)).toBeCloseTo(1, 9);
  });
  test('at a corner where three faces meet, the patch stays within the rim', () => {
    const slab = tablet({ length: 60, width: WIDTH, thickness: 8, triangles: 20_000, seed: 13 });
    const { mesh } = closed(bitten(slab, [WIDTH / 2, 60, 4], 2));
    const lost = 1 - volumeOf(mesh) / volumeOf(slab);
    expect(lost).toBeGreaterThan(0);
    expect(lost).toBeLessThan(2.5 ** 3 / (60 * WIDTH * 8));
  });
});
