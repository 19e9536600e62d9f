import { describe, expect, it } from 'vitest';
import { isCoin } from '../../src/trace/photoCoin.ts';

/** A ring of one point a pixel or so: an ellipse of half-axes a and b at 30°, off which it waves by `off` of its radius, `waves` times round. */
function ringOf(a: number, b: number, off = 0, waves = 9): Float64Array {
  const count = Math.round(2 * Math.PI * a);
  const [c, s] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
  return Float64Array.from({ length: 2 * count }, (_, i) => {
    const t = (2 * Math.PI * (i >> 1)) / count;
    const stretch = 1 + off * Math.cos(waves * t);
    const [u, v] = [a * stretch * Math.cos(t), b * stretch * Math.sin(t)];
    return (i & 1) === 0 ? 400 + c * u - s * v : 300 + s * u + c * v;
  });
}

describe('isCoin', () => {
  it('takes a circle for one, and the ellipse that a leaning camera makes of it', () => {
    expect(isCoin(ringOf(120, 120))).toBe(true);
    expect(isCoin(ringOf(120, 112))).toBe(true);
  });

  it('takes longer ellipses for none, nor what is small', () => {
    expect(isCoin(ringOf(120, 100))).toBe(false);
    expect(isCoin(ringOf(25, 25))).toBe(false);
  });

  // A wave of amplitude e has a root mean square of e/√2 of the radius.
  it.each([
    [0.007, true],
    [0.01, false],
    [0.03, false],
  ])('of a rim that waves by %s of the radius: %s', (off, coin) => {
    expect(isCoin(ringOf(300, 300, off))).toBe(coin);
  });

  it('takes regular polygons up to eight corners for none', () => {
    for (const corners of [3, 4, 5, 6, 7, 8]) {
      const ring = Float64Array.from({ length: 2 * 100 * corners }, (_, i) => {
        const [side, along] = [Math.floor((i >> 1) / 100), ((i >> 1) % 100) / 100];
        const at = (k: number): number =>
          (i & 1) === 0
            ? 200 * Math.cos((2 * Math.PI * k) / corners)
            : 200 * Math.sin((2 * Math.PI * k) / corners);
        return at(side) + along * (at(side + 1) - at(side));
      });
      expect(isCoin(ring)).toBe(false);
    }
  });
});
