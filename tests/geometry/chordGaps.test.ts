import { describe, expect, it } from 'vitest';
import { chordGaps } from '../../src/geometry/chordGaps.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';

const polygon = (n: number, at: (t: number) => readonly [number, number]): Float64Array =>
  Float64Array.from(Array.from({ length: n }, (_, i) => at(i / n)).flat());

describe('chordGaps', () => {
  it('is what a polygon lacks of the circle round it (π r²)', () => {
    const ring = polygon(90, (t) => [20 * Math.cos(2 * Math.PI * t), 20 * Math.sin(2 * Math.PI * t)]);
    const lack = Math.PI * 400 - polygonMoments([ring]).area;
    const { bulge, hollow } = chordGaps(ring);
    expect(bulge / lack).toBeCloseTo(1, 2);
    expect(hollow).toBe(0);
  });

  it('is what a polygon has too much of a scalloped line: twelve hollow arcs between cusps', () => {
    const [n, radius, bite] = [12, 20, 8];
    // Each scallop is an arc of radius `bite` about a point outside, through two corners of a regular polygon.
    const half = radius * Math.sin(Math.PI / n);
    const out = radius * Math.cos(Math.PI / n) + Math.sqrt(bite ** 2 - half ** 2);
    const open = Math.asin(half / bite);
    const ring = polygon(n * 8, (t) => {
      const k = Math.floor(t * n + 1e-9);
      const middle = (2 * Math.PI * (k + 0.5)) / n;
      const angle = middle + Math.PI + open * (1 - 2 * (t * n - k));
      return [
        out * Math.cos(middle) + bite * Math.cos(angle),
        out * Math.sin(middle) + bite * Math.sin(angle),
      ];
    });
    const corners = (n / 2) * radius ** 2 * Math.sin((2 * Math.PI) / n);
    const segments = (n / 2) * bite ** 2 * (2 * open - Math.sin(2 * open));
    const excess = polygonMoments([ring]).area - (corners - segments);
    expect(excess).toBeGreaterThan(0.3);
    // Its points at cusps are none of its arcs': seven of eight tell of them.
    expect(Math.abs(chordGaps(ring).hollow / excess - 7 / 8)).toBeLessThan(0.01);
  });
});
