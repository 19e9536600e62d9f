import { describe, expect, it } from 'vitest';
import { brushed, type MarkedRing, uncrossed } from '../../src/geometry/polygonBrush.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';

const R = 100;
/** A disc of 4000 points about (310.3, 205.7). */
function disc(): MarkedRing {
  const points = Float64Array.from({ length: 8000 }, (_, i) => {
    const t = (2 * Math.PI * (i >> 1)) / 4000;
    return i % 2 === 0 ? 310.3 + R * Math.cos(t) : 205.7 + R * Math.sin(t);
  });
  return { points, marks: Float64Array.from({ length: 4000 }, (_, i) => i % 7) };
}

/** Common area of two discs, radii a and b, middles d apart: two circular segments, by hand. */
function lens(a: number, b: number, d: number): number {
  const one = Math.acos((d * d + a * a - b * b) / (2 * d * a));
  const two = Math.acos((d * d + b * b - a * a) / (2 * d * b));
  return a * a * (one - Math.sin(2 * one) / 2) + b * b * (two - Math.sin(2 * two) / 2);
}

const areaOf = (rings: readonly MarkedRing[]): number =>
  polygonMoments(rings.map(({ points }) => points)).area;

describe('a round brush on a disc', () => {
  const whole = Math.PI * R * R;
  it.each([
    [98, 20],
    [100, 7.5],
    [85, 40],
  ])('takes off the lens of two circles, middles %d apart, radius %d', (d, r) => {
    const left = brushed(disc(), [[310.3 + d, 205.7]], r, 'difference', -1);
    expect(left).toHaveLength(1);
    expect(Math.abs(areaOf(left) - (whole - lens(R, r, d)))).toBeLessThan(0.5);
    const more = brushed(disc(), [[310.3 + d, 205.7]], r, 'union', -1);
    expect(more).toHaveLength(1);
    expect(Math.abs(areaOf(more) - (whole + Math.PI * r * r - lens(R, r, d)))).toBeLessThan(0.5);
  });

  it('adds a capsule for a straight stroke that starts deep inside', () => {
    const [r, out] = [10, 160];
    // Beyond the circle: a rectangle less the cap of the disc under it, and half a disc.
    const cap = R * R * Math.asin(r / R) + r * Math.sqrt(R * R - r * r);
    const beyond = 2 * r * out - cap + (Math.PI * r * r) / 2;
    const more = brushed(
      disc(),
      [
        [310.3, 205.7],
        [310.3, 205.7 - out],
      ],
      r,
      'union',
      -1,
    );
    expect(Math.abs(areaOf(more) - whole - beyond)).toBeLessThan(0.5);
  });

  it('adds the same for a way of many places as for its two ends', () => {
    const way = Array.from({ length: 101 }, (_, k): [number, number] => [310.3, 205.7 - 1.6 * k]);
    const many = brushed(disc(), way, 10, 'union', -1);
    const two = brushed(disc(), [way[0], way[100]], 10, 'union', -1);
    expect(many).toHaveLength(1);
    expect(Math.abs(areaOf(many) - areaOf(two))).toBeLessThan(0.01);
  });

  it('leaves every point that it does not touch as it was, to the last bit, with its mark', () => {
    const before = disc();
    const known = new Map<string, number>();
    for (let i = 0; i < 4000; i++)
      known.set(`${before.points[2 * i]} ${before.points[2 * i + 1]}`, before.marks[i]);
    const [left] = brushed(before, [[410, 205]], 20, 'difference', -1);
    let kept = 0;
    left.marks.forEach((mark, k) => {
      const was = known.get(`${left.points[2 * k]} ${left.points[2 * k + 1]}`);
      expect(was === undefined ? -1 : was).toBe(mark);
      if (was !== undefined) kept++;
      else expect(Math.hypot(left.points[2 * k] - 410, left.points[2 * k + 1] - 205)).toBeCloseTo(20, 1);
    });
    // The chord of the bite spans about 23° of the 360.
    expect(kept).toBeGreaterThan(3700);
    expect(kept).toBeLessThan(3780);
  });

  it('gives two rings where it parts the disc or does not reach it, and a hole where it stays inside', () => {
    expect(
      brushed(
        disc(),
        [
          [310, 0],
          [310, 500],
        ],
        5,
        'difference',
        1,
      ),
    ).toHaveLength(2);
    expect(brushed(disc(), [[600, 205]], 5, 'union', 1)).toHaveLength(2);
    const [one, two] = brushed(disc(), [[310, 205]], 5, 'difference', 1).map((ring) => areaOf([ring]));
    expect(Math.min(one, two)).toBeLessThan(0);
    expect(brushed(disc(), [[310, 205]], 200, 'difference', 1)).toHaveLength(0);
  });
});

it('a figure of eight comes apart where it crosses itself', () => {
  const eight = { points: Float64Array.of(0, 0, 10, 10, 10, 0, 0, 10), marks: new Float64Array(4) };
  const parts = uncrossed(eight, 3);
  expect(parts).toHaveLength(2);
  for (const part of parts) {
    expect(Math.abs(areaOf([part]))).toBeCloseTo(25, 3);
    expect(Math.max(...part.marks)).toBe(3);
  }
});
