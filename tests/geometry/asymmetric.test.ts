import { describe, expect, test } from 'vitest';
import { addRoughness, splineCount, splinesAt } from '../../src/geometry/asymmetricBasis.ts';
import { fitAsymmetric, type SparseRows, solveCholesky } from '../../src/geometry/asymmetricFit.ts';
import { commonProfile, weightedMedian } from '../../src/geometry/asymmetricProfile.ts';
import { createRandom } from '../pieces/random.ts';

describe('cubic B-splines', () => {
  test('sum to one, keep straight lines straight, and join smoothly across knots', () => {
    const out = new Float64Array(4);
    const intervals = 5;
    /** Spline with coefficients c(k) = (k − 1)/intervals: the identity, by linear precision. */
    const identity = (u: number) => {
      const first = splinesAt(u, intervals, out);
      expect(out[0] + out[1] + out[2] + out[3]).toBeCloseTo(1, 12);
      return out.reduce((sum, b, i) => sum + (b * (first + i - 1)) / intervals, 0);
    };
    for (let u = 0; u <= 1; u += 0.05) expect(identity(u)).toBeCloseTo(u, 12);
    expect(identity(1)).toBeCloseTo(1, 12);
    for (let knot = 1; knot < intervals; knot++) {
      const before = new Float64Array(splineCount(intervals));
      const after = new Float64Array(splineCount(intervals));
      for (const [to, u] of [
        [before, knot / intervals - 1e-9],
        [after, knot / intervals + 1e-9],
      ] as const) {
        const first = splinesAt(u, intervals, out);
        for (let i = 0; i < 4; i++) to[first + i] = out[i];
      }
      before.forEach((b, i) => {
        expect(b).toBeCloseTo(after[i], 6);
      });
    }
  });

  test('roughness is the sum of squared second differences', () => {
    const size = 7;
    const penalty = new Float64Array(size * size);
    addRoughness(penalty, size, 1, 2, 3, 5);
    const c = [9, 2, 9, 7, 9, 4, 9];
    let form = 0;
    for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) form += c[i] * penalty[i * size + j] * c[j];
    expect(form).toBeCloseTo(5 * (2 - 2 * 7 + 4) ** 2, 10);
  });
});

test('Cholesky solves a positive definite system', () => {
  const a = [4, 2, 0.6, 2, 5, 1, 0.6, 1, 3];
  const x = [1, -2, 3];
  const b = Float64Array.from([0, 1, 2], (i) => a[3 * i] * x[0] + a[3 * i + 1] * x[1] + a[3 * i + 2] * x[2]);
  const out = new Float64Array(3);
  solveCholesky(Float64Array.from(a), b, out);
  for (let i = 0; i < 3; i++) expect(out[i]).toBeCloseTo(x[i], 12);
});

/** Rows of a parabola c₀ + c₁u + c₂u² on u = −1 … 1, in full. */
function parabolaRows(count: number): { rows: SparseRows; u: Float64Array } {
  const u = Float64Array.from({ length: count }, (_, i) => (2 * i) / (count - 1) - 1);
  return {
    u,
    rows: {
      count,
      perRow: 3,
      coefficients: 3,
      index: Uint16Array.from({ length: 3 * count }, (_, i) => i % 3),
      value: Float64Array.from({ length: 3 * count }, (_, i) => u[Math.floor(i / 3)] ** (i % 3)),
    },
  };
}

describe('the asymmetric fit', () => {
  const weak = Float64Array.of(1e-9, 0, 0, 0, 1e-9, 0, 0, 0, 1e-9);

  test('is least squares where nothing stands out', () => {
    const { rows, u } = parabolaRows(101);
    const random = createRandom(4);
    const y = u.map((v) => 5 - 2 * v - 3 * v * v + 0.02 * random.normal());
    const { coefficients, spread } = fitAsymmetric(
      rows,
      y,
      y.map(() => 1),
      weak,
      { leastOutlier: 0.5, rounds: 8 },
    );
    [5, -2, -3].forEach((c, i) => {
      expect(Math.abs(coefficients[i] - c)).toBeLessThan(0.01);
    });
    expect(spread).toBeGreaterThan(0.01);
    expect(spread).toBeLessThan(0.03);
  });

  test('a tall lump over a quarter of the data cannot pull it up, and a pit hardly pulls it down', () => {
    const { rows, u } = parabolaRows(201);
    const random = createRandom(6);
    const clean = u.map((v) => 5 - 2 * v - 3 * v * v);
    const y = clean.map(
      (h, i) =>
        h +
        0.03 * random.normal() +
        (Math.abs(u[i] - 0.1) < 0.25 ? 4 : 0) -
        (Math.abs(u[i] + 0.7) < 0.04 ? 3 : 0),
    );
    const fit = fitAsymmetric(
      rows,
      y,
      y.map(() => 1),
      weak,
      { leastOutlier: 0.3, rounds: 12 },
    );
    let worst = 0;
    u.forEach((v, i) => {
      const r = fit.coefficients[0] + fit.coefficients[1] * v + fit.coefficients[2] * v * v;
      worst = Math.max(worst, Math.abs(r - clean[i]));
    });
    expect(worst).toBeLessThan(0.05);
  });

  test('rows of weight 0 have no say', () => {
    const { rows, u } = parabolaRows(101);
    const y = u.map((v, i) => (i < 60 ? 2 + v : 1e3));
    const fit = fitAsymmetric(
      rows,
      y,
      y.map((_, i) => (i < 60 ? 1 : 0)),
      weak,
      { leastOutlier: 0.1, rounds: 3 },
    );
    expect(fit.coefficients[0]).toBeCloseTo(2, 4);
    expect(fit.coefficients[1]).toBeCloseTo(1, 4);
  });
});

describe('the common profile', () => {
  test('weighted median: the least value that half of the weight does not pass', () => {
    expect(weightedMedian([3, 1, 2], [1, 1, 1])).toBe(2);
    expect(weightedMedian([3, 1, 2], [5, 1, 1])).toBe(3);
    expect(weightedMedian([7], [0.1])).toBe(7);
    expect(weightedMedian([], [])).toBeNaN();
  });

  test('reads a kinked section out of a table with a lump and gaps', () => {
    const [rows, columns] = [24, 31];
    const roof = (j: number) => 1 - Math.abs(j - 12) / 20;
    const values = new Float64Array(rows * columns);
    const weights = new Float64Array(rows * columns).fill(1);
    for (let i = 0; i < rows; i++) {
      for (let j = 0; j < columns; j++) {
        const lump = Math.hypot(i - 12, j - 15) < 4.5 ? 5 : 0;
        values[i * columns + j] = (3 + 4 * Math.sin(i / 8)) * roof(j) + lump;
        if ((i + j) % 11 === 0) {
          weights[i * columns + j] = 0;
          values[i * columns + j] = Number.NaN;
        }
      }
    }
    const profile = commonProfile(values, weights, columns);
    profile.forEach((v, j) => {
      expect(v).toBeCloseTo(roof(j), 6);
    });
  });

  test('a column without data is NaN; an empty table stays finite elsewhere', () => {
    const profile = commonProfile(Float64Array.of(1, 0, 2, 2, 0, 4), Float64Array.of(1, 0, 1, 1, 0, 1), 3);
    expect(profile[0]).toBeCloseTo(0.5, 12);
    expect(profile[1]).toBeNaN();
    expect(profile[2]).toBeCloseTo(1, 12);
  });
});
