import { describe, expect, test } from 'vitest';
import { tracedEdges } from '../../src/measures/edgeTraced.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../../src/measures/settings.ts';
import type { Model } from '../../src/trace/types.ts';
import { waveRatio } from './ellipticE.ts';

/** z = a·sin(2πy/λ), whole waves over stations 5–95 of a straight side. */
function model(height: number, wavelength: number, waves: number): Model {
  const length = (waves * wavelength) / 0.9;
  const n = Math.round(12 * length);
  const points = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    const y = (length * i) / (n - 1);
    points.set([-15, y, height * Math.sin((2 * Math.PI * (y - 0.05 * length)) / wavelength)], 3 * i);
  }
  return { length, edgeLines: { left: { points, pixel: 0.08 } } } as Partial<Model> as Model;
}

describe('a winding edge that was traced edge-on', () => {
  test.each([
    [0.5, 20, 4],
    [1.2, 15, 6],
    [2, 30, 8],
  ])(
    'a = %d mm, λ = %d mm has the closed-form wander, range, sinuosity and turns, marked as by hand',
    (height, wavelength, waves) => {
      const { values, series } = tracedEdges(model(height, wavelength, waves), DEFAULT_MEASURE_SETTINGS);
      const value = (id: string): number => values[`edge.${id}.left`].value as number;
      // The least-squares line of a few whole waves leans a little: its share of the variance is 6/(π·waves)².
      expect(Math.abs(value('wander') - height / Math.SQRT2)).toBeLessThan(0.03 * height);
      expect(Math.abs(value('range') / height - 2)).toBeLessThan(0.3);
      expect(Math.abs(value('sinuosity') - waveRatio(height, wavelength))).toBeLessThan(0.005);
      expect(Math.abs(value('turns') - 20 / wavelength)).toBeLessThan(20 / wavelength / waves + 1e-9);
      expect(Object.values(values).every(({ byHand }) => byHand === true)).toBe(true);
      expect(Object.keys(values)).toEqual(
        ['wander', 'range', 'sinuosity', 'turns'].map((id) => `edge.${id}.left`),
      );
      const columns = Object.values(series!).map((column) => column.length);
      expect(new Set(columns)).toEqual(new Set([Math.round(12 * ((waves * wavelength) / 0.9))]));
    },
  );

  test('too short to tell says so', () => {
    const short = model(1, 2, 1);
    const { values } = tracedEdges(short, DEFAULT_MEASURE_SETTINGS);
    expect(values['edge.wander.left'].value).toBe(null);
    expect(values['edge.wander.left'].reason).toMatch(/less than 5 mm/);
  });
});
