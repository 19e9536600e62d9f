import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planarCurve, startRingAt } from '../../src/geometry/curvePlanar.ts';
import {
  ellipticFourier,
  fourierCurve,
  normalizeFourier,
  startedAt,
  turnedFourier,
} from '../../src/geometry/ellipticFourier.ts';
import { alignRing } from '../../src/geometry/polygonMoments.ts';

/** A circle's points are evenly spaced in arc length: coefficients are those of the parametrisation itself. */
const circle = (r: number, n: number, phase = 0, x = 0, y = 0): Float64Array =>
  Float64Array.from({ length: 2 * n }, (_, i) => {
    const t = phase + (2 * Math.PI * (i >> 1)) / n;
    return i % 2 === 0 ? x + r * Math.cos(t) : y + r * Math.sin(t);
  });

describe('ellipticFourier', () => {
  it('of a circle: a₁ = d₁ = r, centre in a0 and c0, nothing else', () => {
    const f = ellipticFourier(circle(7, 4000, 0, 3, -2), 6);
    expect(f.a[0]).toBeCloseTo(7, 4);
    expect(f.d[0]).toBeCloseTo(7, 4);
    expect(f.b[0]).toBeCloseTo(0, 9);
    expect(f.c[0]).toBeCloseTo(0, 9);
    expect(f.a0).toBeCloseTo(3, 6);
    expect(f.c0).toBeCloseTo(-2, 6);
    for (let h = 1; h < 6; h++) {
      for (const k of [f.a[h], f.b[h], f.c[h], f.d[h]]) expect(Math.abs(k)).toBeLessThan(1e-5);
    }
  });

  it('of a square: a₁ and the 1/h² fall of its odd harmonics, in closed form', () => {
    // A unit square walked from (½, −½) counter-clockwise: x is a trapezoid wave of height ½.
    const f = ellipticFourier(Float64Array.of(0.5, -0.5, 0.5, 0.5, -0.5, 0.5, -0.5, -0.5), 9);
    for (let h = 1; h <= 9; h++) {
      // x has slope −4 on ¼…½ and +4 on ¾…1 of t: aₕ = Σ slope·Δcos / (2π²h²).
      const cos = (t: number): number => Math.cos(2 * Math.PI * h * t);
      const sin = (t: number): number => Math.sin(2 * Math.PI * h * t);
      const k = 4 / (2 * Math.PI ** 2 * h ** 2);
      expect(f.a[h - 1]).toBeCloseTo(k * (-(cos(0.5) - cos(0.25)) + (cos(1) - cos(0.75))), 12);
      expect(f.b[h - 1]).toBeCloseTo(k * (-(sin(0.5) - sin(0.25)) + (sin(1) - sin(0.75))), 12);
    }
  });

  it('of a curve begun elsewhere or turned: follows from its own', () => {
    const ring = circle(10, 37, 0.3, 4, -7).map((v, i) => (i % 2 === 0 ? v * 2 : v + Math.sin(v)));
    const own = ellipticFourier(ring, 12);
    const curve = planarCurve(ring);
    const parts = ['a', 'b', 'c', 'd'] as const;
    for (const share of [0, 0.013, 0.4, 0.99]) {
      const found = startedAt(own, share);
      const other = ellipticFourier(startRingAt(curve, share * curve.length), 12);
      for (const part of parts) {
        for (let h = 0; h < 12; h++) expect(found[part][h]).toBeCloseTo(other[part][h], 10);
      }
    }
    const found = turnedFourier(own, 0.7);
    const other = ellipticFourier(alignRing(ring, 0.7, 0), 12);
    for (const part of parts) {
      for (let h = 0; h < 12; h++) expect(found[part][h]).toBeCloseTo(other[part][h], 10);
    }
    expect(found.a0).toBeCloseTo(other.a0, 10);
    expect(found.c0).toBeCloseTo(other.c0, 10);
  });

  it('gives the curve back, ever closer as harmonics grow', () => {
    const ring = circle(10, 400).map((v, i) => (i % 2 === 0 ? v * 2 : v));
    let last = Infinity;
    for (const harmonics of [1, 3, 8, 20]) {
      const back = fourierCurve(ellipticFourier(ring, harmonics), 200);
      let worst = 0;
      for (let i = 0; i < back.length; i += 2) {
        worst = Math.max(worst, Math.abs(Math.hypot(back[i] / 20, back[i + 1] / 10) - 1));
      }
      expect(worst).toBeLessThan(last);
      last = worst;
    }
    expect(last).toBeLessThan(1e-3);
  });

  it('normalised: free of place, size, turn and start', () => {
    const shape = fc.array(fc.integer({ min: 800, max: 1200 }), { minLength: 10, maxLength: 24 });
    fc.assert(
      fc.property(
        shape,
        fc.integer({ min: -170, max: 170 }),
        fc.integer({ min: 2, max: 50 }),
        fc.nat(9),
        (radii, degrees, size, start) => {
          const n = radii.length;
          const base = Float64Array.from({ length: 2 * n }, (_, i) => {
            const t = (2 * Math.PI * (i >> 1)) / n;
            return i % 2 === 0 ? 0.03 * radii[i >> 1] * Math.cos(t) : 0.01 * radii[i >> 1] * Math.sin(t);
          });
          const a = (degrees * Math.PI) / 180;
          const moved = Float64Array.from({ length: 2 * n }, (_, i) => {
            const k = ((i >> 1) + start) % n;
            const [x, y] = [base[2 * k], base[2 * k + 1]];
            const turned =
              i % 2 === 0 ? x * Math.cos(a) - y * Math.sin(a) : x * Math.sin(a) + y * Math.cos(a);
            return (turned * size) / 10 + 5;
          });
          const one = normalizeFourier(ellipticFourier(base, 12), 1, 0);
          const two = normalizeFourier(ellipticFourier(moved, 12), Math.cos(a), Math.sin(a));
          expect(one.a[0]).toBeCloseTo(1, 12);
          expect(Math.abs(one.b[0]) + Math.abs(one.c[0])).toBeLessThan(1e-12);
          for (let h = 0; h < 12; h++) {
            expect(two.a[h]).toBeCloseTo(one.a[h], 9);
            expect(two.b[h]).toBeCloseTo(one.b[h], 9);
            expect(two.c[h]).toBeCloseTo(one.c[h], 9);
            expect(two.d[h]).toBeCloseTo(one.d[h], 9);
          }
        },
      ),
      { numRuns: 60, seed: 2 },
    );
  });

  it('normalised ellipse: 1 and 1 − ¾ε to first order, for t runs with arc length', () => {
    const f = normalizeFourier(
      ellipticFourier(
        circle(10, 2000).map((v, i) => (i % 2 === 0 ? 1.05 * v : v)),
        3,
      ),
      1,
      0,
    );
    expect(f.a[0]).toBeCloseTo(1, 12);
    // θ = u + (ε/4)·sin 2u turns the axes' ratio 1 − ε into 1 − ε + ε/4.
    expect(Math.abs(f.d[0] - (1 - 0.75 * 0.05))).toBeLessThan(0.05 ** 2);
  });
});
