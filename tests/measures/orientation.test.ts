import { describe, expect, test } from 'vitest';
import { edgeLine } from '../../src/measures/edgeLine.ts';
import { axisError, orientationSpread } from '../../src/measures/orientation.ts';
import { SECTION_STATIONS } from '../../src/measures/sectionCuts.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import { createShared } from '../../src/measures/shared.ts';
import { type Model, SIDES } from '../../src/trace/types.ts';
import { barModel } from './edgeModels.ts';

const bar = barModel({
  length: 60,
  edge: 1,
  section: (y) => [
    [12, Math.sin(y / 3)],
    [0, 5],
    [-12, Math.cos(y / 4)],
    [0, -5],
  ],
  margin: (y) => ({ right: [12, Math.sin(y / 3)], left: [-12, Math.cos(y / 4)] }),
});

/** The bar with its three automatic axes told apart by these angles, degrees, all through its middle. */
function withAxes(mirror: number, principal: number, longest: number): Model {
  const [a, b, c] = [mirror, principal, longest].map((angle) => ({ angle, x: 0 }));
  return { ...bar, frame: { ...bar.frame, axes: { mirror: a, principal: b, longest: c } } };
}

describe('the spread under the three automatic axes', () => {
  test('is nothing where they agree', () => {
    const spread = orientationSpread(withAxes(0, 0, 0), SETTINGS);
    expect(spread.size).toBeGreaterThan(10);
    for (const u of spread.values()) expect(u).toBeLessThan(1e-9);
  });

  test('has every measure of the margin that depends on the axis and needs no faces', () => {
    const spread = orientationSpread(withAxes(0, 3, -6), SETTINGS);
    for (const row of edgeLine.rows) expect(spread.has(row.id)).toBe(row.axis && row.needs !== 'faces');
  });

  test('is the standard deviation of the margin turned by hand', () => {
    // So little that the flat ends stay beyond stations 5 and 95.
    const angle = 4;
    const value = (model: Model) => {
      const { values } = edgeLine.compute(model, SETTINGS, createShared(model, SETTINGS));
      return Number(values['edge.sinuosity.right'].value);
    };
    const turn = (angle * Math.PI) / 180;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    if (bar.margin === undefined) throw new Error('no margin');
    const n = bar.margin.arc.length;
    const points = new Float64Array(3 * n);
    for (let i = 0; i < n; i++) {
      const [x, y, z] = [0, 1, 2].map((k) => bar.margin?.points[3 * i + k] ?? NaN);
      points.set([x * c + y * s, y * c - x * s, z], 3 * i);
    }
    const low = points.reduce((least, v, i) => (i % 3 === 1 ? Math.min(least, v) : least), Infinity);
    for (let i = 0; i < n; i++) points[3 * i + 1] -= low;
    const high = points.reduce((most, v, i) => (i % 3 === 1 ? Math.max(most, v) : most), 0);
    const side = bar.margin.side.map((_, i) => {
      const station = points[3 * i + 1] / high;
      if (station > 0.95) return SIDES.indexOf('tip');
      if (station < 0.05) return SIDES.indexOf('base');
      return SIDES.indexOf((bar.margin?.points[3 * i] ?? NaN) > 0 ? 'right' : 'left');
    });
    const { surface: _, ...flat } = bar;
    const turned: Model = { ...flat, length: high, margin: { ...bar.margin, points, side } };
    const [straight, tilted] = [value(flat), value(turned)];
    const mean = (2 * straight + tilted) / 3;
    const sd = Math.sqrt((2 * (straight - mean) ** 2 + (tilted - mean) ** 2) / 2);
    expect(sd).toBeGreaterThan(5e-5);
    const spread = orientationSpread(withAxes(0, 0, angle), SETTINGS);
    expect(spread.get('edge.sinuosity.right')).toBeCloseTo(sd, 9);
  });
});

describe('the error of the chosen axis', () => {
  test('is what the axis can turn as far as the outline is unsure: little, and in proportion', () => {
    const at = (noise: number) => {
      const line = { noise, plan: 0.3 * noise, height: 0.3 * noise, spacing: 0.3 };
      return axisError({ ...bar, quality: { meanEdge: 0.3, noise, lineError: 0, line } }, SETTINGS);
    };
    const [quiet, loud] = [at(0.02), at(0.2)];
    // The same measures, and the widths of the sections, which the faces' own family measures.
    const spread = orientationSpread(withAxes(0, 3, -6), SETTINGS);
    expect(quiet.size).toBe(spread.size + SECTION_STATIONS.length);
    // A bar of length L and width W, turned by φ, is longer by about W·φ.
    const width = 24;
    // At two places half a length apart, the axis errs a little less than one point does.
    const turn = (noise: number) => (0.92 * Math.hypot(0.3 * noise, 0.004)) / 30;
    expect(quiet.get('midline.skew')).toBeCloseTo((turn(0.02) * 180) / Math.PI, 4);
    expect(loud.get('midline.skew')).toBeCloseTo((turn(0.2) * 180) / Math.PI, 3);
    expect(quiet.get('length') ?? NaN).toBeLessThan(width * turn(0.02));
  });
});
