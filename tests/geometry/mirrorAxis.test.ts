import { describe, expect, it } from 'vitest';
import { mirrorDifference, mirrorDifferences, mirrorLine } from '../../src/geometry/mirrorAxis.ts';
import { alignRing } from '../../src/geometry/polygonMoments.ts';

/** A leaf, symmetrical about x = 0, pointed up. */
function leaf(n: number): Float64Array {
  const out = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    const a = (2 * Math.PI * i) / n;
    const y = 50 * Math.sin(a);
    out[2 * i] = 20 * Math.cos(a) * (1 - y / 120);
    out[2 * i + 1] = y;
  }
  return out;
}

/** A point with a bulge to one side over a base of many points that is not quite square to it: edges all but level with the rows. */
function squareBased(slant: number): Float64Array {
  const side = (at: number, bulge: number): number => (22 + bulge * Math.sin(9 * at)) * (1 - at ** 2.5);
  const points: [number, number][] = [];
  for (let k = 0; k < 60; k++) {
    const x = -22 + (44 * k) / 60;
    points.push([x, slant * x + 0.02 * Math.sin(1.7 * k)]);
  }
  for (let k = 0; k < 300; k++) points.push([side(k / 300, 1.5), 22 * slant + (k / 300) * 120]);
  for (let k = 300; k > 0; k--) points.push([-side(k / 300, 0.4), -22 * slant + (k / 300) * 120]);
  return Float64Array.from(points.flat());
}

/** Turned by `angle` counter-clockwise, then moved by (dx, dy). */
function placed(ring: Float64Array, angle: number, dx: number, dy: number): Float64Array {
  const out = alignRing(ring, -angle, 0);
  for (let i = 0; i < out.length; i += 2) {
    out[i] += dx;
    out[i + 1] += dy;
  }
  return out;
}

describe('mirrorLine', () => {
  it('finds the axis of a symmetrical leaf in any pose: direction to 0.02°, place to 0.01 mm', () => {
    for (const [degrees, dx, dy] of [
      [0, 0, 0],
      [7, 30, -4],
      [-12, -100, 55],
    ]) {
      const angle = (degrees * Math.PI) / 180;
      const ring = placed(leaf(400), angle, dx, dy);
      const found = mirrorLine([ring], angle + 0.2, (25 * Math.PI) / 180);
      expect((found.angle * 180) / Math.PI).toBeCloseTo(degrees, 1);
      expect(Math.abs(((found.angle - angle) * 180) / Math.PI)).toBeLessThan(0.02);
      expect(Math.abs(found.offset - (dx * Math.cos(angle) + dy * Math.sin(angle)))).toBeLessThan(0.01);
      expect(found.difference).toBeLessThan(1e-3);
    }
  });

  it('is beaten by no line of a brute-force search on an asymmetrical plan', () => {
    const ring = leaf(200);
    for (let i = 0; i < ring.length; i += 2)
      if (ring[i] > 0) ring[i] *= 1 + 0.25 * Math.sin(ring[i + 1] / 15);
    const found = mirrorLine([ring], 0, (25 * Math.PI) / 180);
    for (let degrees = -25; degrees <= 25; degrees += 2.5) {
      for (let offset = -6; offset <= 6; offset += 0.5) {
        const other = mirrorDifference([ring], (degrees * Math.PI) / 180, offset);
        expect(found.difference).toBeLessThanOrEqual(other + 1e-6);
      }
    }
  });

  it('lands on the floor of the valley over a base that runs all but level, in any pose', () => {
    for (const slant of [0.002, 0.006, 0.01]) {
      const shape = squareBased(slant);
      let [low, high] = [Infinity, -Infinity];
      for (let pose = 0; pose < 5; pose++) {
        const turn = 0.0017 * pose;
        const ring = placed(shape, turn, 0, 0);
        const found = mirrorLine([ring], turn, (25 * Math.PI) / 180);
        low = Math.min(low, found.angle - turn);
        high = Math.max(high, found.angle - turn);
        const least = mirrorDifference([ring], found.angle, found.offset);
        // No direction nearby is better, each at the best of places that it has.
        for (let k = -5; k <= 5; k++) {
          const beside = mirrorDifferences([ring], found.angle + 3e-4 * k);
          for (let place = -15; place <= 15; place++) {
            expect(beside(found.offset + 0.02 * place)).toBeGreaterThan(least - 1e-6);
          }
        }
      }
      expect(high - low).toBeLessThan(2e-4);
    }
  });

  it('difference of a rectangle about a shifted axis is shift/width·2', () => {
    const ring = Float64Array.of(-5, 0, 5, 0, 5, 30, -5, 30);
    expect(mirrorDifference([ring], 0, 0)).toBeCloseTo(0, 12);
    // Reflected about x = 1 the rectangle covers −3…7: they share 8 of 10.
    expect(mirrorDifference([ring], 0, 1)).toBeCloseTo(0.2, 9);
  });

  it('counts a hole on one side as asymmetry', () => {
    const ring = Float64Array.of(-5, 0, 5, 0, 5, 10, -5, 10);
    const hole = Float64Array.of(1, 4, 1, 6, 3, 6, 3, 4);
    // Overlap loses the hole and its mirror image; area loses the hole.
    expect(mirrorDifference([ring, hole], 0, 0)).toBeCloseTo(1 - (100 - 8) / (100 - 4), 2);
  });
});
