import { describe, expect, it } from 'vitest';
import { CalmField } from '../../src/geometry/calmField.ts';
import { FieldPeaks } from '../../src/geometry/fieldPeak.ts';
import { topSharpness } from '../../src/geometry/topSharpness.ts';
import { faceted, roof } from './facetedField.ts';

describe('FieldPeaks', () => {
  /** Mean and root mean square of its errors over fields of faceted noise. */
  const errors = (height: (x: number, y: number) => number): { mean: number; rms: number } => {
    const tries = 40;
    const missed = Array.from(
      { length: tries },
      (_, seed) => new FieldPeaks(new CalmField(faceted(height, 0.03, 500 + seed), 0.03)).peak()!.value - 10,
    );
    return {
      mean: missed.reduce((sum, e) => sum + e, 0) / tries,
      rms: Math.sqrt(missed.reduce((sum, e) => sum + e * e, 0) / tries),
    };
  };

  it.each([0, 0.4, 1.1])('has the height of a roof turned by %f, and not of its facets', (turn) => {
    const { mean, rms } = errors(roof(turn));
    // A smooth fit through the facets lacks 0.05 and more.
    expect(Math.abs(mean)).toBeLessThan(0.03);
    expect(rms).toBeLessThan(0.04);
  });

  it('does not raise a dome', () => {
    const { mean, rms } = errors((x, y) => 10 - (x * x) / 30 - (y * y) / 60);
    expect(Math.abs(mean)).toBeLessThan(0.015);
    expect(rms).toBeLessThan(0.02);
  });
});

describe('topSharpness', () => {
  const sharp = (height: (x: number, y: number) => number): number => {
    const field = new CalmField(faceted(height, 0, 3), 0);
    return topSharpness(field, new FieldPeaks(field).peak()!);
  };

  it('tells what facets cut off crests and cones, and next to nothing on a dome', () => {
    expect(sharp((x, y) => 10 - 0.5 * Math.abs(x + 0.3 * y))).toBeGreaterThan(0.04);
    expect(sharp((x, y) => 10 - 0.5 * Math.hypot(x, y))).toBeGreaterThan(0.02);
    expect(sharp((x, y) => 10 - (x * x + y * y) / 40)).toBeLessThan(0.006);
  });
});
