import { describe, expect, it } from 'vitest';
import { mirrorDifference, mirrorLine } from '../../src/geometry/mirrorAxis.ts';
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
