import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  arcDistance,
  circularRuns,
  closedCurve,
  indexAt,
  pointAt,
  resampleClosed,
  sharpCorners,
  tangentAt,
  wrapArc,
} from '../../src/geometry/closedCurve.ts';

function ring(count: number, at: (angle: number) => readonly [number, number, number]): Float64Array {
  return Float64Array.from(Array.from({ length: count }, (_, i) => at((2 * Math.PI * i) / count)).flat());
}

const circle = (radius: number, count = 720) =>
  closedCurve(ring(count, (a) => [radius * Math.cos(a), radius * Math.sin(a), 0]));

describe('a closed curve', () => {
  test('has the length of its polygon and arc lengths that start at 0', () => {
    const square = closedCurve(Float64Array.of(0, 0, 0, 3, 0, 0, 3, 4, 0, 0, 4, 0));
    expect(square.length).toBe(14);
    expect(Array.from(square.arc)).toEqual([0, 3, 7, 10]);
  });

  test('places are found by arc length as a plain search finds them, and wrap round', () => {
    const curve = circle(5, 37);
    fc.assert(
      fc.property(fc.double({ min: -100, max: 100, noNaN: true }), (s) => {
        const wrapped = wrapArc(s, curve.length);
        expect(wrapped).toBeGreaterThanOrEqual(0);
        expect(wrapped).toBeLessThan(curve.length);
        let plain = 0;
        while (plain + 1 < 37 && curve.arc[plain + 1] <= wrapped) plain++;
        expect(indexAt(curve, wrapped)).toBe(plain);
        const p = pointAt(curve, s, new Float64Array(3));
        const q = pointAt(curve, s + 3 * curve.length, new Float64Array(3));
        for (let k = 0; k < 3; k++) expect(p[k]).toBeCloseTo(q[k], 9);
      }),
    );
    expect(arcDistance(1, curve.length - 1, curve.length)).toBeCloseTo(2, 12);
  });

  test('resampled points lie evenly along it', () => {
    const curve = circle(5, 37);
    const even = closedCurve(resampleClosed(curve, 500));
    for (let i = 1; i < 500; i++) expect(even.arc[i] - even.arc[i - 1]).toBeCloseTo(curve.length / 500, 3);
  });

  test('the tangent of a circle is square to its radius', () => {
    const curve = circle(5);
    const p = new Float64Array(3);
    const t = new Float64Array(3);
    for (let s = 0.3; s < curve.length; s += 1.1) {
      pointAt(curve, s, p);
      tangentAt(curve, s, 1.5, t);
      expect((p[0] * t[0] + p[1] * t[1]) / 5).toBeCloseTo(0, 4);
      expect(Math.hypot(...t)).toBeCloseTo(1, 12);
      expect(p[0] * t[1] - p[1] * t[0]).toBeGreaterThan(0);
    }
  });

  test('the tangent of a wave is flatter than the wave by (2π·half/λ)²/10, to a tenth of that', () => {
    // A long way round through the air closes the wave; only its middle is asked.
    const points: number[] = [];
    for (let i = 0; i <= 3000; i++) points.push(0, i / 50, 0.1 * Math.sin((2 * Math.PI * i) / 500));
    points.push(500, 60, 0, 500, 0, 0);
    const curve = closedCurve(Float64Array.from(points));
    const t = tangentAt(curve, 30 * (curve.arc[3000] / 60), 1.5, new Float64Array(3));
    const x = (2 * Math.PI * 1.5) / 10;
    const exact = (0.1 * 2 * Math.PI) / 10;
    expect(Math.abs(t[2] / t[1] / exact - (1 - (x * x) / 10))).toBeLessThan((x * x) / 100);
  });
});

describe('sharp corners', () => {
  test('of a square are its four, to a sample; a circle of radius 3 has none', () => {
    const points: number[] = [];
    for (let i = 0; i < 40; i++) points.push(i, 0, 0);
    for (let i = 0; i < 40; i++) points.push(40, i, 0);
    for (let i = 0; i < 40; i++) points.push(40 - i, 40, 0);
    for (let i = 0; i < 40; i++) points.push(0, 40 - i, 0);
    const corners = sharpCorners(closedCurve(Float64Array.from(points)), 1, 0.8);
    expect(Array.from(corners, (s) => Math.round(s * 4) / 4)).toEqual([0, 40, 80, 120]);
    expect(sharpCorners(circle(3), 1, 0.8)).toHaveLength(0);
  });

  test('are found on an edge that turns upward too', () => {
    const points: number[] = [];
    for (let i = 0; i < 40; i++) points.push(0, i, 0);
    for (let i = 0; i < 40; i++) points.push(0, 40, i);
    for (let i = 0; i < 56; i++) points.push(0, 40 - (40 * i) / 56, 40 - (40 * i) / 56);
    expect(sharpCorners(closedCurve(Float64Array.from(points)), 1, 0.8)).toHaveLength(3);
  });
});

test('runs on a closed line: one over its end is one, all round it is one, and none is none', () => {
  const runs = (marks: string): number[][] => circularRuns(marks.length, (k) => marks[k] === 'x');
  expect(runs('x..xx.x')).toEqual([
    [3, 4],
    [6, 0],
  ]);
  expect(runs('xxx')).toEqual([[0, 1, 2]]);
  expect(runs('...')).toEqual([]);
});
