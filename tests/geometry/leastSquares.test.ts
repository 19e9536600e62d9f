import { describe, expect, it } from 'vitest';
import { invertSymmetric, leastSquares, quadraticForm } from '../../src/geometry/leastSquares.ts';
import { createRandom } from '../pieces/random.ts';

describe('least squares', () => {
  it('finds a straight line as the closed form does, with its covariance', () => {
    const xs = [0, 1, 2, 3, 4];
    const ys = [1.1, 2.9, 5.2, 6.8, 9.1];
    const fit = leastSquares(
      (p, out) => {
        for (let i = 0; i < 5; i++) out[i] = p[0] + p[1] * xs[i] - ys[i];
      },
      [0, 0],
      5,
    )!;
    // By hand: Sxx = 10, Sxy = 19.9, means 2 and 5.02.
    expect(fit.parameters[1]).toBeCloseTo(1.99, 9);
    expect(fit.parameters[0]).toBeCloseTo(5.02 - 2 * 1.99, 9);
    expect(fit.inverse[3]).toBeCloseTo(1 / 10, 8);
    expect(fit.inverse[0]).toBeCloseTo(1 / 5 + 4 / 10, 8);
    expect(quadraticForm(fit.inverse, [1, 2])).toBeCloseTo(1 / 5, 8);
  });

  it('goes down Rosenbrock’s valley to (1, 1)', () => {
    const fit = leastSquares(
      (p, out) => {
        out[0] = 10 * (p[1] - p[0] ** 2);
        out[1] = 1 - p[0];
      },
      [-1.2, 1],
      2,
    )!;
    expect(fit.cost).toBeLessThan(1e-12);
    expect([...fit.parameters]).toEqual([expect.closeTo(1, 6), expect.closeTo(1, 6)]);
  });

  it('says nothing where a parameter does not matter', () => {
    expect(
      leastSquares(
        (p, out) => {
          out[0] = p[0] - 1;
          out[1] = p[0] - 2;
        },
        [0, 0],
        2,
      ),
    ).toBeUndefined();
  });

  it('inverts symmetric matrices, and no singular ones', () => {
    const random = createRandom(3);
    const n = 6;
    const a = Float64Array.from({ length: n * n }, () => random.normal());
    const m = new Float64Array(n * n);
    for (let i = 0; i < n * n; i++) {
      for (let k = 0; k < n; k++) m[i] += a[n * Math.floor(i / n) + k] * a[n * (i % n) + k];
    }
    const inverse = invertSymmetric(m, n)!;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        let sum = 0;
        for (let k = 0; k < n; k++) sum += m[n * i + k] * inverse[n * k + j];
        expect(sum).toBeCloseTo(i === j ? 1 : 0, 8);
      }
    }
    expect(invertSymmetric(Float64Array.of(1, 2, 2, 4), 2)).toBeUndefined();
  });
});
