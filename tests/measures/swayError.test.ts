import { describe, expect, it } from 'vitest';
import { measured, modelOf } from './support/model.ts';

const POINTS = 1200;
/** An ellipse 80 mm long and 40 wide, tip up, its points evenly strewn by angle. */
const ELLIPSE = Float64Array.from({ length: 2 * POINTS }, (_, i) => {
  const angle = (2 * Math.PI * (i >> 1)) / POINTS;
  return i % 2 === 0 ? 20 * Math.cos(angle) : 40 * Math.sin(angle);
});

describe('a margin that stands higher here and lower there, seen aslant', () => {
  it('moves both ends along the lean of the camera, each by itself: √2 of what one moves; across it nothing', () => {
    const model = modelOf({ outer: ELLIPSE });
    const along = {
      ...model,
      sway: Float64Array.from(model.outline.outer, (_, i) => (i % 2 === 1 ? 0.1 : 0)),
    };
    const result = measured(along);
    // Waves that are odd move the two ends apart by twice their part, even ones together: 2 · (2·0.1/2)² is 2 · 0.1².
    expect(result.row('length').components?.tracing).toBeCloseTo(Math.SQRT2 * 0.1, 3);
    expect(result.row('width').components?.tracing ?? 0).toBeLessThan(0.005);
    expect(measured(model).row('length').components?.tracing ?? 0).toBe(0);
  });

  it('turns the outline rather than widens it where every point moves away from a foot beside it', () => {
    const model = modelOf({ outer: ELLIPSE });
    const across = {
      ...model,
      sway: Float64Array.from(model.outline.outer, (_, i) => (i % 2 === 0 ? 0.1 : 0)),
    };
    const result = measured(across);
    expect(result.row('width').components?.tracing).toBeCloseTo(Math.SQRT2 * 0.1, 2);
    expect(result.row('length').components?.tracing ?? 0).toBeLessThan(0.005);
    expect(result.row('length').u).toBeLessThan(result.row('width').u!);
  });
});
