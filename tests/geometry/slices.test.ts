import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { type SliceAxis, sliceAreas, sliceMesh } from '../../src/geometry/slices.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { shuffled } from '../pieces/pose.ts';
import { createRandom } from '../pieces/random.ts';
import { ellipsoid, ring as ringSolid } from '../pieces/solids.ts';

const cut = (mesh: TriangleMesh, levels: number[], axis: SliceAxis) =>
  sliceMesh(mesh, pairHalfEdges(mesh.positions, mesh.triangles).pairs, Float64Array.from(levels), axis);

/** A box from 0 to (a, b, c), two triangles a side. */
function box(a: number, b: number, c: number): TriangleMesh {
  const positions = Float64Array.from({ length: 24 }, (_, i) => {
    const corner = Math.floor(i / 3);
    return [corner & 1 ? a : 0, corner & 2 ? b : 0, corner & 4 ? c : 0][i % 3];
  });
  const quads = [
    [0, 2, 3, 1],
    [4, 5, 7, 6],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 4, 6, 2],
    [1, 3, 7, 5],
  ];
  const triangles = quads.flatMap(([p, q, r, s]) => [p, q, r, p, r, s]);
  return { positions, triangles: Uint32Array.from(triangles) };
}

const areaOf = (loops: readonly { points: Float64Array }[]): number =>
  loops.reduce((sum, { points }) => sum + polygonMoments([points]).area, 0);

describe('sliceMesh', () => {
  it.each([
    [0, 3 * 4],
    [1, 2 * 4],
    [2, 2 * 3],
  ] as const)('cuts a box along axis %d in its whole section, counter-clockwise', (axis, area) => {
    const [slice] = cut(box(2, 3, 4), [0.7], axis);
    expect(slice.loops.length).toBe(1);
    expect(slice.loops[0].closed).toBe(true);
    expect(areaOf(slice.loops)).toBeCloseTo(area, 12);
  });

  it('takes a vertex on the plane as above it: the lid is cut at the bottom, never at the top', () => {
    const [bottom, top] = cut(box(2, 3, 4), [0, 4], 2);
    expect(bottom.loops).toEqual([]);
    expect(areaOf(top.loops)).toBeCloseTo(6, 12);
    const [below, above] = cut(box(2, 3, 4), [-1, 9], 2);
    expect([below.loops, above.loops]).toEqual([[], []]);
  });

  it('parts a ring into two loops across and gives an inner loop the other way round flat', () => {
    const ring = ringSolid({ outer: 30, inner: 14, sagitta: 4, triangles: 20_000 });
    let low = Infinity;
    let high = -Infinity;
    for (let i = 1; i < ring.positions.length; i += 3) {
      low = Math.min(low, ring.positions[i]);
      high = Math.max(high, ring.positions[i]);
    }
    const [across] = cut(ring, [(low + high) / 2 + 0.01], 1);
    expect(across.loops.length).toBe(2);
    for (const { points } of across.loops) expect(polygonMoments([points]).area).toBeGreaterThan(0);
    const [flat] = cut(ring, [0.5], 2);
    const areas = flat.loops.map(({ points }) => polygonMoments([points]).area).sort((a, b) => a - b);
    expect(areas.length).toBe(2);
    expect(areas[0]).toBeLessThan(0);
    expect(areas[1]).toBeGreaterThan(-areas[0]);
  });

  it('joins the cut of an open mesh across its gap and says so', () => {
    const whole = box(2, 3, 4);
    // Without the two triangles of the side x = 2.
    const open = { positions: whole.positions, triangles: whole.triangles.slice(0, 30) };
    const [slice] = cut(open, [1], 2);
    expect(slice.loops.length).toBe(1);
    expect(slice.loops[0].closed).toBe(false);
    expect(areaOf(slice.loops)).toBeCloseTo(6, 12);
    // Two opposite sides missing: two chains make one loop.
    const long = box(4, 2, 4);
    const sides = { positions: long.positions, triangles: long.triangles.slice(0, 24) };
    const [tunnel] = cut(sides, [1], 2);
    expect(tunnel.loops.length).toBe(1);
    expect(areaOf(tunnel.loops)).toBeCloseTo(8, 12);
  });

  it('of an ellipsoid has the area πac(1 − y²/b²) within the facets', () => {
    const [a, b, c] = [20, 45, 6];
    const mesh = shuffled(ellipsoid({ a, b, c, triangles: 100_000 }), createRandom(1));
    const levels = Array.from({ length: 40 }, (_, k) => (2 * b * (k + 0.5)) / 40);
    for (const { level, loops } of cut(mesh, levels, 1)) {
      const exact = Math.PI * a * c * (1 - (level / b - 1) ** 2);
      expect(loops.length).toBe(1);
      expect(Math.abs(areaOf(loops) / exact - 1)).toBeLessThan(2e-3);
    }
  });

  it('agrees with every triangle cut by itself, on any axis and at vertices too', () => {
    const mesh = shuffled(ellipsoid({ a: 9, b: 14, c: 5, triangles: 600 }), createRandom(2));
    const count = mesh.positions.length / 3;
    fc.assert(
      fc.property(
        fc.constantFrom<SliceAxis>(0, 1, 2),
        fc.array(fc.nat(count - 1), { minLength: 1, maxLength: 6 }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        (axis, vertices, shift) => {
          const levels = [...vertices.map((v) => mesh.positions[3 * v + axis]), 4 + shift].sort(
            (p, q) => p - q,
          );
          const areas = sliceAreas(mesh, Float64Array.from(levels), axis);
          cut(mesh, levels, axis).forEach(({ loops, level }, k) => {
            expect(areaOf(loops)).toBeCloseTo(areas[k], 9);
            expect(Math.abs(areas[k] - brute(mesh, level, axis))).toBeLessThan(1e-9);
            for (const { closed, points } of loops) {
              expect(closed).toBe(true);
              expect(points.length).toBeGreaterThanOrEqual(6);
            }
          });
        },
      ),
      { numRuns: 60, seed: 12 },
    );
  });

  it('is the same however vertices and triangles are ordered, and leaves the mesh untouched', () => {
    const mesh = ellipsoid({ a: 9, b: 14, c: 5, triangles: 3000 });
    const before = Float64Array.from(mesh.positions);
    const levels = [1, 5, 5, 13, 27];
    const one = cut(mesh, levels, 1).map(({ loops }) => areaOf(loops));
    const two = cut(shuffled(mesh, createRandom(9)), levels, 1).map(({ loops }) => areaOf(loops));
    one.forEach((area, k) => {
      expect(two[k]).toBeCloseTo(area, 9);
    });
    expect(mesh.positions).toEqual(before);
  });

  it('refuses levels that fall or are not finite', () => {
    expect(() => cut(box(1, 1, 1), [0.5, 0.4], 2)).toThrow(RangeError);
    expect(() => cut(box(1, 1, 1), [Number.NaN], 2)).toThrow(RangeError);
    expect(cut(box(1, 1, 1), [], 2)).toEqual([]);
  });
});

/** Area by Green's theorem, every triangle asked: the segment runs with the outside to its right. */
function brute({ positions: p, triangles }: TriangleMesh, level: number, axis: SliceAxis): number {
  const [u, v] = [0, 1, 2].filter((k) => k !== axis);
  let twice = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [0, 1, 2].map((c) => 3 * triangles[t + c]);
    let [from, to]: (readonly [number, number] | undefined)[] = [undefined, undefined];
    corners.forEach((a, c) => {
      const b = corners[(c + 1) % 3];
      const [low, high] = [p[a + axis] >= level, p[b + axis] >= level];
      if (low === high) return;
      const f = (level - p[a + axis]) / (p[b + axis] - p[a + axis]);
      const at = [p[a + u] + f * (p[b + u] - p[a + u]), p[a + v] + f * (p[b + v] - p[a + v])] as const;
      if (high !== (axis === 1)) to = at;
      else from = at;
    });
    if (from !== undefined && to !== undefined) twice += from[0] * to[1] - to[0] * from[1];
  }
  return twice / 2;
}
