import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { triangulateRing } from '../../src/geometry/meshEarCut.ts';

const SEED = 11;

/** A ring in the plane z = 0, placed in space by two directions square to each other. */
function placed(
  plan: readonly (readonly [number, number])[],
  tilt: number,
): { positions: Float64Array; ring: Uint32Array } {
  const [c, s] = [Math.cos(tilt), Math.sin(tilt)];
  const positions = Float64Array.from(plan.flatMap(([x, y]) => [c * x + 7, y - 3, s * x + 1]));
  return { positions, ring: Uint32Array.from(plan.keys()) };
}

function shoelace(plan: readonly (readonly [number, number])[]): number {
  return plan.reduce((sum, [x, y], k) => {
    const [u, v] = plan[(k + 1) % plan.length];
    return sum + (x * v - u * y) / 2;
  }, 0);
}

/** Area of each triangle in the ring's own plane, positive for the ring's winding. */
function areas(plan: readonly (readonly [number, number])[], triangles: Uint32Array): number[] {
  return Array.from({ length: triangles.length / 3 }, (_, t) =>
    shoelace([plan[triangles[3 * t]], plan[triangles[3 * t + 1]], plan[triangles[3 * t + 2]]]),
  );
}

function expectCut(plan: readonly (readonly [number, number])[], tilt = 0.7): void {
  const { positions, ring } = placed(plan, tilt);
  const before = positions.slice();
  const triangles = triangulateRing(positions, ring);
  expect(triangles).not.toBeNull();
  expect(triangles!.length).toBe(3 * (plan.length - 2));
  expect(positions).toEqual(before);
  const parts = areas(plan, triangles!);
  // All of one sign and together the whole: no overlap, no gap.
  const whole = shoelace(plan);
  for (const part of parts) expect(part * Math.sign(whole)).toBeGreaterThan(0);
  expect(parts.reduce((sum, part) => sum + part, 0)).toBeCloseTo(whole, 9);
  expect(new Set(triangles).size).toBe(plan.length);
}

describe('triangulateRing', () => {
  test('a triangle, a square, a dart, an L, a comb', () => {
    expectCut([
      [0, 0],
      [4, 0],
      [0, 3],
    ]);
    expectCut([
      [0, 0],
      [4, 0],
      [4, 3],
      [0, 3],
    ]);
    expectCut([
      [0, 0],
      [4, 0],
      [1, 1],
      [0, 4],
    ]);
    expectCut([
      [0, 0],
      [2, 0],
      [2, 1],
      [1, 1],
      [1, 2],
      [0, 2],
    ]);
    expectCut([
      [0, 0],
      [9, 0],
      [9, 5],
      [8, 1],
      [7, 5],
      [6, 1],
      [5, 5],
      [4, 1],
      [3, 5],
      [2, 1],
      [1, 5],
    ]);
  });

  test('corners in the middle of straight sides are used', () => {
    expectCut([
      [0, 0],
      [1, 0],
      [2, 0],
      [2, 1],
      [2, 2],
      [1, 2],
      [0, 2],
      [0, 1],
    ]);
  });

  test('either winding keeps its own', () => {
    expectCut([
      [0, 2],
      [1, 2],
      [1, 1],
      [2, 1],
      [2, 0],
      [0, 0],
    ]);
  });

  test(`stars of any shape, seed ${SEED}`, () => {
    const stars = fc
      .array(fc.double({ min: 0.2, max: 3, noNaN: true }), { minLength: 4, maxLength: 60 })
      .map((radii) =>
        radii.map((r, k): [number, number] => {
          const turn = (2 * Math.PI * k) / radii.length;
          return [r * Math.cos(turn), r * Math.sin(turn)];
        }),
      );
    fc.assert(
      fc.property(stars, fc.double({ min: -1.4, max: 1.4, noNaN: true }), (star, tilt) =>
        expectCut(star, tilt),
      ),
      { seed: SEED, numRuns: 200 },
    );
  });

  test('a quad is cut along its shorter diagonal', () => {
    const { positions, ring } = placed(
      [
        [0, 0],
        [5, -1],
        [10, 0],
        [5, 1],
      ],
      0,
    );
    const triangles = Array.from(triangulateRing(positions, ring)!);
    expect(triangles.filter((v) => v === 1 || v === 3).length).toBe(4);
  });

  test('what has no inside to cut gives null', () => {
    const cut = (plan: [number, number][]): Uint32Array | null => {
      const { positions, ring } = placed(plan, 0.3);
      return triangulateRing(positions, ring);
    };
    expect(
      cut([
        [0, 0],
        [1, 0],
      ]),
    ).toBeNull();
    expect(
      cut([
        [0, 0],
        [1, 0],
        [2, 0],
        [3, 0],
      ]),
    ).toBeNull();
    expect(
      cut([
        [0, 0],
        [2, 2],
        [2, 0],
        [0, 2],
      ]),
    ).toBeNull();
    expect(
      cut([
        [1, 1],
        [1, 1],
        [1, 1],
        [1, 1],
      ]),
    ).toBeNull();
    expect(cut(Array.from({ length: 100 }, (_, k) => [Math.cos(k), Math.sin(k)]))).toBeNull();
  });

  test('from 10⁻⁹ to 10⁹', () => {
    for (const scale of [1e-9, 1e-4, 1, 1e4, 1e9]) {
      const plan = [
        [0, 0],
        [2, 0],
        [2, 1],
        [1, 1],
        [1, 2],
        [0, 2],
      ].map(([x, y]) => [x * scale, y * scale] as const);
      const positions = Float64Array.from(plan.flatMap(([x, y]) => [x, y, 0.3 * x]));
      expect(triangulateRing(positions, Uint32Array.from(plan.keys()))?.length).toBe(12);
    }
  });
});
