import { describe, expect, test } from 'vitest';
import { turnFlatTriangles } from '../../src/geometry/meshFlat.ts';
import { stitchCracks } from '../../src/geometry/meshStitch.ts';
import { pairHalfEdges } from '../../src/geometry/meshTwins.ts';
import { validateMesh } from '../../src/geometry/meshValidate.ts';
import { NO_TWIN } from '../../src/geometry/types.ts';

const TETRAHEDRON = [0, 0, 0, 60, 0, 0, 0, 60, 0, 0, 0, 60];

describe('turnFlatTriangles', () => {
  test('several on one line are all turned away', () => {
    // Vertices 4, 5 and 6 divide the side 0–1 of the face 0 1 3; the base 0 2 1 has the whole side.
    const positions = Float64Array.of(...TETRAHEDRON, 15, 0, 0, 30, 0, 0, 45, 0, 0);
    const triangles = Uint32Array.of(
      ...[0, 2, 1, 1, 2, 3, 2, 0, 3],
      ...[0, 4, 3, 4, 5, 3, 5, 6, 3, 6, 1, 3],
      ...[0, 1, 6, 0, 6, 5, 0, 5, 4],
    );
    const { pairs: twins } = pairHalfEdges(positions, triangles);
    expect(turnFlatTriangles({ positions, triangles }, twins)).toBeGreaterThanOrEqual(3);
    expect(validateMesh({ positions, triangles }, twins, { closed: true, outward: true })).toEqual([]);
    for (let t = 0; t < triangles.length; t += 3) {
      const y = [0, 1, 2].map((k) => positions[3 * triangles[t + k] + 1]);
      const z = [0, 1, 2].map((k) => positions[3 * triangles[t + k] + 2]);
      expect([...y, ...z].some((value) => value !== 0)).toBe(true);
    }
  });

  test('at a rim, and where turning would double an edge, they stay', () => {
    const positions = Float64Array.of(0, 0, 0, 30, 0, 0, 60, 0, 0);
    const triangles = Uint32Array.of(0, 1, 2);
    const twins = new Uint32Array(3).fill(NO_TWIN);
    expect(turnFlatTriangles({ positions, triangles }, twins)).toBe(0);
    expect(Array.from(triangles)).toEqual([0, 1, 2]);
  });

  test('nothing is turned on a sound surface, however thin its triangles', () => {
    const positions = Float64Array.from(TETRAHEDRON, (value, i) => (i % 3 === 2 ? value * 1e-9 : value));
    const triangles = Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3);
    const { pairs: twins } = pairHalfEdges(positions, triangles);
    expect(turnFlatTriangles({ positions, triangles }, twins)).toBe(0);
  });
});

describe('stitchCracks', () => {
  /** Two triangles on one edge, the second with its own copies of the two vertices, `gap` away. */
  function torn(gap: number): { positions: Float64Array; triangles: Uint32Array; pairs: Uint32Array } {
    const positions = Float64Array.of(0, 0, 0, 0, 0, 1, 1, 0, 0, -1, 0, 0, gap, 0, 0, 0, gap, 1);
    const triangles = Uint32Array.of(0, 1, 2, 5, 4, 3);
    return { positions, triangles, pairs: pairHalfEdges(positions, triangles).pairs };
  }
  test('joins within the tolerance and not beyond', () => {
    const near = torn(0.9e-6);
    expect(stitchCracks(near.positions, near.triangles, near.pairs, 1e-6)).toBe(2);
    expect(pairHalfEdges(near.positions, near.triangles).numOpen).toBe(4);
    const far = torn(1.1e-6);
    expect(stitchCracks(far.positions, far.triangles, far.pairs, 1e-6)).toBe(0);
  });
  test('never by more than a tenth of an open edge, whatever the tolerance', () => {
    const near = torn(0.09);
    expect(stitchCracks(near.positions, near.triangles, near.pairs, 10)).toBe(2);
    const far = torn(0.11);
    expect(stitchCracks(far.positions, far.triangles, far.pairs, 10)).toBe(0);
  });
  test('vertices within the surface stay where they are', () => {
    const positions = Float64Array.of(...TETRAHEDRON, 0, 0, 1e-9);
    const triangles = Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3);
    const { pairs } = pairHalfEdges(positions, triangles);
    expect(stitchCracks(positions, triangles, pairs, 1)).toBe(0);
  });
});
