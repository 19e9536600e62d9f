import { describe, expect, it } from 'vitest';
import {
  basisFrom,
  cross,
  dot,
  lineAngle,
  toBasis,
  transformPoints,
  turned,
} from '../../src/geometry/basis.ts';
import { farthestPair } from '../../src/geometry/farthestPair.ts';
import { convexHull } from '../../src/geometry/hull.ts';
import { planeOfClosedLine } from '../../src/geometry/planeOfLine.ts';
import { symmetricEigen3 } from '../../src/geometry/symmetricEigen.ts';
import { createRandom } from '../pieces/random.ts';

describe('symmetricEigen3', () => {
  it('solves A v = λ v with orthonormal v for random matrices (seeds 1…50)', () => {
    for (let seed = 1; seed <= 50; seed++) {
      const r = createRandom(seed).next;
      const [a, b, c, d, e, f] = Array.from({ length: 6 }, () => r() * 2 - 1);
      const { values, vectors } = symmetricEigen3(a, b, c, d, e, f);
      expect(values[0]).toBeLessThanOrEqual(values[1]);
      expect(values[1]).toBeLessThanOrEqual(values[2]);
      vectors.forEach((v, i) => {
        expect(a * v[0] + b * v[1] + c * v[2]).toBeCloseTo(values[i] * v[0], 12);
        expect(b * v[0] + d * v[1] + e * v[2]).toBeCloseTo(values[i] * v[1], 12);
        expect(c * v[0] + e * v[1] + f * v[2]).toBeCloseTo(values[i] * v[2], 12);
        for (let j = 0; j < 3; j++) expect(dot(v, vectors[j])).toBeCloseTo(i === j ? 1 : 0, 12);
      });
    }
  });
});

describe('planeOfClosedLine', () => {
  it('fits a tilted ellipse exactly, however unevenly its points are spaced', () => {
    const { x, y, z } = basisFrom([0.2, -0.4, 1], [0, 1, 0]);
    const points: number[] = [];
    for (let i = 0; i < 300; i++) {
      const a = 2 * Math.PI * (i / 300) ** 2;
      const u = 20 * Math.cos(a);
      const v = 50 * Math.sin(a);
      for (let k = 0; k < 3; k++) points.push(u * x[k] + v * y[k] + 7 * z[k]);
    }
    const plane = planeOfClosedLine(Float64Array.from(points));
    expect(lineAngle(plane.normal, z)).toBeLessThan(1e-6);
    expect(dot(plane.centroid, z)).toBeCloseTo(7, 9);
    expect(plane.rms).toBeLessThan(1e-6);
  });

  it('rms of z = a sin 3φ on a circle is a/√2, seen through the polyline', () => {
    const points: number[] = [];
    for (let i = 0; i < 4000; i++) {
      const a = (2 * Math.PI * i) / 4000;
      points.push(30 * Math.cos(a), 30 * Math.sin(a), 0.01 * Math.sin(3 * a));
    }
    expect(planeOfClosedLine(Float64Array.from(points)).rms).toBeCloseTo(0.01 / Math.SQRT2, 6);
  });
});

describe('basis', () => {
  it('is right-handed, and a quarter turn carries x to y', () => {
    const b = basisFrom([0.3, 0.1, 0.9], [1, 0, 0]);
    expect(dot(cross(b.x, b.y), b.z)).toBeCloseTo(1, 12);
    const q = turned(b, Math.PI / 2);
    expect(dot(q.x, b.y)).toBeCloseTo(1, 12);
    const p = transformPoints(Float64Array.from(b.x), toBasis(b, [0, 0, 0]));
    expect([...p].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([1, 0, 0]);
  });
});

describe('hull and farthest pair', () => {
  it('agree with brute force on random points (seeds 1…20)', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const r = createRandom(seed).next;
      const points = Float64Array.from({ length: 120 }, () => r() * 10);
      let most = 0;
      for (let i = 0; i < 120; i += 2) {
        for (let j = 0; j < i; j += 2) {
          most = Math.max(most, Math.hypot(points[i] - points[j], points[i + 1] - points[j + 1]));
        }
      }
      expect(farthestPair(points).distance).toBeCloseTo(most, 12);
      const hull = convexHull(points);
      for (let h = 0; h < hull.length; h += 2) {
        const k = (h + 2) % hull.length;
        for (let i = 0; i < points.length; i += 2) {
          const side =
            (hull[k] - hull[h]) * (points[i + 1] - hull[h + 1]) -
            (hull[k + 1] - hull[h + 1]) * (points[i] - hull[h]);
          expect(side).toBeGreaterThanOrEqual(-1e-9);
        }
      }
    }
  });
});
