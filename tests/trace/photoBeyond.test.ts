import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { beyondCorners } from '../../src/trace/photoBeyond.ts';

/** A stone of code 120 with its corner at (40, 40) on a backdrop of code 30; a facet of code `facet` makes up the last `cut` pixels of the corner. */
function cornered(facet: number, cut: number): Pixels {
  const side = 160;
  const rgba = new Uint8ClampedArray(4 * side * side);
  for (let v = 0, i = 0; v < side; v++) {
    for (let u = 0; u < side; u++, i += 4) {
      const inside = u >= 40 && v >= 40 && u < 120 && v < 120;
      const code = !inside ? 30 : u + v < 80 + cut ? facet : 120;
      // Noise of one code either way, the same each time.
      rgba.fill(code + ((7 * u + 13 * v) % 3) - 1, i, i + 3);
    }
  }
  return { width: side, height: side, rgba };
}

/** The square's outline with its first corner cut off, one point about every pixel, clockwise on the screen. */
function cutSquare(cut: number): Float64Array {
  const corners = [
    [39.5 + cut, 39.5],
    [119.5, 39.5],
    [119.5, 119.5],
    [39.5, 119.5],
    [39.5, 39.5 + cut],
  ];
  const points: number[] = [];
  corners.forEach(([x, y], k) => {
    const [X, Y] = corners[(k + 1) % corners.length];
    const steps = Math.round(Math.hypot(X - x, Y - y));
    for (let i = 0; i < steps; i++) points.push(x + ((X - x) * i) / steps, y + ((Y - y) * i) / steps);
  });
  return Float64Array.from(points);
}

describe('beyondCorners', () => {
  it('tells of a corner that a small dark facet carries on beyond the ring, and how far', () => {
    const found = beyondCorners(cutSquare(8), cornered(42, 8), 0.5);
    expect(found).toHaveLength(1);
    expect(found[0].reach).toBeGreaterThan(4);
    expect(found[0].reach).toBeLessThan(8);
    // Anywhere between the ring and where its sides meet.
    expect(found[0].error).toBeCloseTo(found[0].reach / Math.sqrt(3), 9);
  });

  it('is silent where there is backdrop beyond a blunt corner, and where the ring has its corners', () => {
    expect(beyondCorners(cutSquare(8), cornered(30, 8), 0.5)).toHaveLength(0);
    expect(beyondCorners(cutSquare(0), cornered(120, 0), 0.5)).toHaveLength(0);
  });
});
