import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { beyondCorners, mayWiden } from '../../src/trace/photoBeyond.ts';

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

describe('mayWiden', () => {
  // A disc of 400 pixels across with a spike of so many pixels to the right, one point about every pixel.
  const disc = (spike: number): Float64Array =>
    Float64Array.from({ length: 2 * 1257 }, (_, i) => {
      const angle = ((i >> 1) * 2 * Math.PI) / 1257;
      const radius = 200 + Math.max(0, spike - 200 * Math.abs(Math.sin(angle / 2)) * 4);
      return i % 2 === 0 ? radius * Math.cos(angle) : radius * Math.sin(angle);
    });
  const beyond = (reach: number) => ({ at: 0, reach, error: reach / Math.sqrt(3) });

  it('asks for 0.3 % of the width along which a corner goes on', () => {
    expect(mayWiden(disc(20), beyond(0.003 * 420 * Math.sqrt(3) * 1.02))).toBe(true);
    expect(mayWiden(disc(20), beyond(0.003 * 420 * Math.sqrt(3) * 0.98))).toBe(false);
  });

  it('asks for as much of the greatest width of a corner that goes on within what the rest spans', () => {
    const ring = disc(0).map((v, i) => (i % 2 === 0 ? Math.min(v, 150) : v));
    expect(mayWiden(ring, beyond(0.003 * 400 * Math.sqrt(3) * 1.03))).toBe(true);
    expect(mayWiden(ring, beyond(1))).toBe(false);
  });
});
