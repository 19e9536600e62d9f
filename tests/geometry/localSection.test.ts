import { describe, expect, test } from 'vitest';
import { cutArm, cutTriangle, findCutStart, setCutPlane, walkCut } from '../../src/geometry/localSection.ts';
import { planGridNear } from '../../src/geometry/planGrid.ts';
import { NO_TWIN, type TriangleMesh } from '../../src/geometry/types.ts';
import { barMesh, lensSection, pairEdges, wedgeSection } from '../measures/edgeModels.ts';
import { createRandom } from '../pieces/random.ts';

const bar = (edge = 0.8) =>
  barMesh({ length: 30, edge, section: () => lensSection(20, 4), jitter: createRandom(5) });

/** Square to y at height y, origin at the right edge; u inward, w up: t must run down the right side. */
function planeAt(y: number, halfWidth = 10) {
  return setCutPlane(new Float64Array(12), [halfWidth, y, 0], [0, -1, 0], [-1, 0, 0], [0, 0, 1]);
}

function edgeLine(halfWidth = 10, length = 30): Float64Array {
  return Float64Array.of(halfWidth, length, 0, halfWidth, 0, 0, -halfWidth, 0, 0, -halfWidth, length, 0);
}

function cutTriangles(mesh: TriangleMesh, plane: Float64Array): Map<number, Float64Array> {
  const cuts = new Map<number, Float64Array>();
  for (let t = 0; t < mesh.triangles.length / 3; t++) {
    const segment = new Float64Array(4);
    if (cutTriangle(mesh, plane, t, segment)) cuts.set(t, segment);
  }
  return cuts;
}

describe('a cut found near a place', () => {
  test('is the nearest of all cuts of the mesh', () => {
    const mesh = bar();
    const grid = planGridNear(mesh, edgeLine(), 1.5, 2);
    const random = createRandom(11);
    for (let trial = 0; trial < 40; trial++) {
      const plane = planeAt(random.between(2, 28), 10 + random.between(-0.4, 0.4));
      const start = findCutStart(mesh, grid, plane, 2);
      let nearest = Infinity;
      for (const [au, aw, bu, bw] of cutTriangles(mesh, plane).values()) {
        for (let k = 0; k <= 200; k++) {
          nearest = Math.min(nearest, Math.hypot(au + ((bu - au) * k) / 200, aw + ((bw - aw) * k) / 200));
        }
      }
      expect(start).not.toBeNull();
      expect(start?.distance).toBeLessThanOrEqual(nearest + 1e-12);
      expect(start?.distance).toBeGreaterThan(nearest - 0.01);
    }
  });

  test('is none where the mesh is far off', () => {
    const mesh = bar();
    const line = Float64Array.of(80, 0, 0, 81, 0, 0, 81, 1, 0);
    expect(findCutStart(mesh, planGridNear(mesh, line, 1.5, 2), planeAt(0.5, 80), 2)).toBeNull();
  });
});

describe('a cut followed over the mesh', () => {
  const mesh = bar();
  const twins = pairEdges(mesh);
  const grid = planGridNear(mesh, edgeLine(), 1.5, 2);

  test('goes over the top backward and over the bottom forward, and its points lie on the surface', () => {
    const plane = planeAt(13.123);
    const start = findCutStart(mesh, grid, plane, 2);
    if (start === null) throw new Error('no cut');
    const radius = (20 * 20) / (8 * 4) + 4 / 2;
    for (const [forward, sign] of [
      [false, 1],
      [true, -1],
    ] as const) {
      const arm = walkCut(mesh, twins, plane, start, forward, 15, cutArm());
      expect(arm.count).toBeGreaterThan(20);
      expect(arm.points[2 * arm.count - 2]).toBeGreaterThan(15);
      for (let i = 0; i < arm.count; i++) {
        const [u, w] = [arm.points[2 * i], arm.points[2 * i + 1]];
        if (u > 1) expect(sign * w).toBeGreaterThan(0.1);
        // A chord of 0.8 mm lies at most 0.8²/8R inside the arc; near the edge the corner is cut off.
        if (u > 1 && u < 19) {
          const off = Math.hypot(u - 10, sign * w + radius - 4) - radius;
          expect(off).toBeLessThan(1e-9);
          expect(off).toBeGreaterThan(-(0.8 ** 2) / (8 * radius) - 1e-9);
        }
      }
    }
  });

  test('takes in every cut triangle of a closed section once: its length is that of all cuts together', () => {
    const plane = planeAt(7.7);
    const start = findCutStart(mesh, grid, plane, 2);
    if (start === null) throw new Error('no cut');
    const length = (points: Float64Array, count: number) => {
      let sum = 0;
      for (let i = 1; i < count; i++) {
        sum += Math.hypot(points[2 * i] - points[2 * i - 2], points[2 * i + 1] - points[2 * i - 1]);
      }
      return sum;
    };
    let all = 0;
    for (const [au, aw, bu, bw] of cutTriangles(mesh, plane).values()) all += Math.hypot(bu - au, bw - aw);
    const arm = walkCut(mesh, twins, plane, start, true, 1000, cutArm());
    // The way round ends at the far side of the first triangle: back to the start is what is missing.
    const [u, w] = [arm.points[2 * arm.count - 2], arm.points[2 * arm.count - 1]];
    expect(length(arm.points, arm.count) + Math.hypot(u - start.u, w - start.w)).toBeCloseTo(all, 9);
    expect(arm.rim).toBe(false);
  });

  test('through vertices exactly it stays in one piece', () => {
    const wedge = barMesh({ length: 30, edge: 0.9, section: () => wedgeSection(10, 40) });
    const rows = new Set<number>();
    for (let i = 1; i < wedge.positions.length; i += 3) rows.add(wedge.positions[i]);
    const y = [...rows].sort((a, b) => a - b)[10];
    const pairs = pairEdges(wedge);
    const plane = planeAt(y);
    const start = findCutStart(wedge, planGridNear(wedge, edgeLine(), 1.5, 2), plane, 2);
    if (start === null) throw new Error('no cut');
    const arm = walkCut(wedge, pairs, plane, start, false, 9.9, cutArm());
    const tip = [arm.points[2 * arm.count - 2], arm.points[2 * arm.count - 1]];
    expect(tip[0]).toBeGreaterThan(9.9);
    expect(arm.points[2 * 5 + 1] / arm.points[2 * 5]).toBeCloseTo(Math.tan((20 * Math.PI) / 180), 9);
  });

  test('ends at a rim and says so', () => {
    const open: TriangleMesh = {
      positions: mesh.positions,
      triangles: mesh.triangles.filter((_, i) => {
        const t = i - (i % 3);
        const x = [0, 1, 2].map((k) => mesh.positions[3 * mesh.triangles[t + k]]);
        return !(Math.max(...x) > 3 && Math.min(...x) < 6 && mesh.positions[3 * mesh.triangles[t] + 2] > 0.5);
      }),
    };
    const openTwins = pairEdges(open);
    expect(openTwins.some((t) => t === NO_TWIN)).toBe(true);
    const plane = planeAt(13.1);
    const start = findCutStart(open, planGridNear(open, edgeLine(), 1.5, 2), plane, 2);
    if (start === null) throw new Error('no cut');
    const top = walkCut(open, openTwins, plane, start, false, 15, cutArm());
    expect(top.rim).toBe(true);
    expect(top.points[2 * top.count - 2]).toBeLessThan(5.5);
    expect(walkCut(open, openTwins, plane, start, true, 15, cutArm()).rim).toBe(false);
  });
});
