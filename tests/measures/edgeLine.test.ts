import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { edgeLine } from '../../src/measures/edgeLine.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import { createShared } from '../../src/measures/shared.ts';
import type { MeasureSettings } from '../../src/measures/types.ts';
import type { Model } from '../../src/trace/types.ts';
import { createRandom } from '../pieces/random.ts';
import { barModel, modelOf, stretched, wedgeSection } from './edgeModels.ts';
import { waveRatio } from './ellipticE.ts';

function measured(model: Model, settings: MeasureSettings = SETTINGS) {
  const result = edgeLine.compute(model, settings, createShared(model, settings));
  const value = (id: string): number => {
    const found = result.values[`edge.${id}`]?.value;
    if (typeof found !== 'number') throw new Error(`edge.${id} has no value`);
    return found;
  };
  return { result, value };
}

/** A thin bar whose margin is z = rise(y) on the right and −rise(y) on the left. */
function windingBar(rise: (y: number) => number, length: number, edge = 1): Model {
  return barModel({
    length,
    edge,
    section: (y) => [
      [12, rise(y)],
      [0, 5],
      [-12, -rise(y)],
      [0, -5],
    ],
    margin: (y) => ({ right: [12, rise(y)], left: [-12, -rise(y)] }),
  });
}

describe('a margin that winds as a·sin(2πy/λ)', () => {
  // Stations 5–95 are 90 % of the length: whole waves, so that the least-squares line is the axis but for a little tilt.
  test.each([
    [0.5, 20],
    [1, 15],
    [2, 30],
    [1.5, 12],
  ])('a = %d mm, λ = %d mm has the closed-form wander, range, sinuosity and turns', (height, wavelength) => {
    const waves = 24;
    const length = (waves * wavelength) / 0.9;
    const rise = (y: number) => height * Math.sin((2 * Math.PI * (y - 0.05 * length)) / wavelength);
    const { value } = measured(windingBar(rise, length, 2));
    for (const side of ['left', 'right']) {
      expect(Math.abs(value(`wander.${side}`) - height / Math.SQRT2)).toBeLessThan(0.01 * height);
      expect(Math.abs(value(`range.${side}`) - 2 * height)).toBeLessThan(0.1 * height);
      expect(Math.abs(value(`sinuosity.${side}`) - waveRatio(height, wavelength))).toBeLessThan(0.005);
      expect(Math.abs(value(`turns.${side}`) - 20 / wavelength)).toBeLessThan(20 / wavelength / waves);
    }
  });

  test('the tilt and the level of the margin are no wander', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -2, max: 2, noNaN: true }),
        fc.double({ min: -0.1, max: 0.1, noNaN: true }),
        (level, slope) => {
          const { value } = measured(windingBar((y) => level + slope * y, 50, 3));
          expect(value('wander.right')).toBeLessThan(1e-9);
          expect(value('range.left')).toBeLessThan(1e-9);
          expect(value('sinuosity.right')).toBeCloseTo(1, 9);
          expect(value('turns.left')).toBe(0);
        },
      ),
      { numRuns: 12 },
    );
  });

  test('noise of the margin that is rougher than the scale hardly lengthens it', () => {
    const random = createRandom(8);
    const smooth = (y: number) => Math.sin((2 * Math.PI * y) / 20);
    const { value } = measured(windingBar((y) => smooth(y) + 0.05 * random.normal(), 80, 2));
    const { value: clean } = measured(windingBar(smooth, 80, 2));
    expect(Math.abs(value('sinuosity.right') - clean('sinuosity.right'))).toBeLessThan(0.005);
    expect(Math.abs(value('wander.right') - clean('wander.right'))).toBeLessThan(0.01);
    expect(value('turns.right')).toBe(clean('turns.right'));
  });
});

describe('where the margin stands between the faces', () => {
  const bar = (share: number) =>
    barModel({
      length: 60,
      edge: 0.5,
      section: () => {
        const z = -3 + 8 * share;
        return [
          [12, z],
          [0, 5],
          [-12, z],
          [0, -3],
        ];
      },
    });

  test.each([0, 0.25, 0.5, 0.9])('at %d of the thickness of a straight bar', (share) => {
    const { value } = measured(bar(share));
    expect(Math.abs(value('offset.left') - 100 * share)).toBeLessThan(1.5);
    expect(Math.abs(value('offset.right') - 100 * share)).toBeLessThan(1.5);
  });

  test('left and right each have their own', () => {
    const { value } = measured(windingBar(() => 2, 60));
    expect(Math.abs(value('offset.right') - 70)).toBeLessThan(1.5);
    expect(Math.abs(value('offset.left') - 30)).toBeLessThan(1.5);
  });
});

describe('the margin line', () => {
  const wave = (y: number) => 0.8 * Math.sin(y / 3) + 0.4 * Math.sin(y / 7 + 1);
  const model = windingBar((y) => (y < 30 ? wave(y) : wave(30) + 0.3 * (wave(y) - wave(30))), 60);

  test('lengths grow with the piece and ratios stay', () => {
    const { value } = measured(model);
    const { value: big } = measured(stretched(model, 2, 2, 2), {
      ...SETTINGS,
      sinuosityScale: 2 * SETTINGS.sinuosityScale,
      turnBand: 2 * SETTINGS.turnBand,
    });
    for (const side of ['left', 'right']) {
      expect(big(`wander.${side}`)).toBeCloseTo(2 * value(`wander.${side}`), 9);
      expect(big(`range.${side}`)).toBeCloseTo(2 * value(`range.${side}`), 9);
      expect(big(`sinuosity.${side}`)).toBeCloseTo(value(`sinuosity.${side}`), 9);
      expect(big(`turns.${side}`)).toBeCloseTo(value(`turns.${side}`) / 2, 9);
      expect(big(`offset.${side}`)).toBeCloseTo(value(`offset.${side}`), 0);
    }
  });

  test('mirrored, or turned over, left and right are exchanged, and turned over the offset counts from the other face', () => {
    const { value } = measured(model);
    for (const sz of [1, -1]) {
      const { value: mirrored } = measured(stretched(model, -1, 1, sz));
      for (const [side, other] of [
        ['left', 'right'],
        ['right', 'left'],
      ]) {
        for (const id of ['wander', 'range', 'sinuosity', 'turns']) {
          expect(mirrored(`${id}.${side}`)).toBeCloseTo(value(`${id}.${other}`), 9);
        }
        const offset = value(`offset.${other}`);
        expect(mirrored(`offset.${side}`)).toBeCloseTo(sz === 1 ? offset : 100 - offset, 6);
      }
    }
  });

  test('the series carries the margin and its height above the side’s own line', () => {
    const { result, value } = measured(model);
    const series = result.series?.margin ?? {};
    const residual = series.residual as Float64Array;
    expect(Object.keys(series).join(' ')).toBe('arc side station z residual');
    expect(series.arc).toHaveLength(model.margin?.arc.length ?? -1);
    const right = residual.filter((_, i) => (series.side as string[])[i] === 'right');
    expect(Math.max(...right) - Math.min(...right)).toBeCloseTo(value('range.right'), 9);
    residual.forEach((r, i) => {
      const side = (series.side as string[])[i];
      expect(Number.isNaN(r)).toBe(side === 'tip' || side === 'base');
    });
  });

  test('has a value for each of its rows and no other, each with an uncertainty', () => {
    const { result } = measured(model);
    expect(Object.keys(result.values).sort()).toEqual(edgeLine.rows.map((row) => row.id).sort());
    for (const { value, components } of Object.values(result.values)) {
      expect(value).not.toBeNull();
      expect(Object.values(components ?? {}).every((u) => u >= 0 && Number.isFinite(u))).toBe(true);
    }
  });

  test('what lies on a marked break is left out', () => {
    // The bar runs from (0, 60) over the right corner down: its right side starts at arc length 12 for y = 60.
    const bumpy = (y: number) => (y > 25 && y < 35 ? 2 : 0.1 * Math.sin(y));
    const bar = windingBar(bumpy, 60);
    const arc = (y: number) => {
      const { points = [], arc: along = [] } = bar.margin ?? {};
      for (let i = 0; i < along.length; i++)
        if (points[3 * i] === 12 && points[3 * i + 1] <= y) return along[i];
      return NaN;
    };
    const settings = { ...SETTINGS, breaks: [[arc(37), arc(23)] as const] };
    expect(measured(bar).value('wander.right')).toBeGreaterThan(0.5);
    expect(measured(bar, settings).value('wander.right')).toBeLessThan(0.08);
    expect(measured(bar, settings).value('wander.left')).toBe(measured(bar).value('wander.left'));
    // Left out by hand, the same stretch leaves the same numbers.
    const excluded = [{ from: arc(37), to: arc(23), reason: 'modern damage' }];
    expect(measured(bar, { ...SETTINGS, excluded }).result).toEqual(measured(bar, settings).result);
    const all = { ...SETTINGS, breaks: [[0, 1e6] as const] };
    expect(measured(bar, settings).value('sinuosity.right')).toBeLessThan(1.02);
    expect(edgeLine.compute(bar, all, createShared(bar, all)).values['edge.wander.left'].value).toBeNull();
  });

  test('the hollow of a notched base is no part of a side', () => {
    const points: number[] = [];
    const add = (x: number, y: number, z: number) => points.push(x, y, z);
    const steps = 200;
    for (let i = 0; i < steps; i++) add((15 * i) / steps, 60 * (1 - i / steps), 0.5 * Math.sin(i / 9));
    for (let i = 0; i < steps; i++) add(15 - (15 * i) / steps, 8 * Math.sin((Math.PI / 2) * (i / steps)), 3);
    for (let i = 0; i < steps; i++) add((-15 * i) / steps, 8 * Math.cos((Math.PI / 2) * (i / steps)), 3);
    for (let i = 0; i < steps; i++) add(-15 + (15 * i) / steps, (60 * i) / steps, 0.5 * Math.sin(i / 9));
    const mesh = { positions: new Float64Array(9), triangles: Uint32Array.of(0, 1, 2) };
    const { surface: _, ...hollow } = modelOf(mesh, Float64Array.from(points), 60, {
      meanEdge: 0.3,
      noise: 0,
    });
    const { result, value } = measured(hollow);
    expect(value('range.right')).toBeLessThan(1.2);
    expect(value('range.left')).toBeLessThan(1.2);
    expect(result.values['edge.offset.left']).toBeUndefined();
  });

  test('a barb that turns the side back counts there and back, its corners not cut off by the smoothing', () => {
    const points: number[] = [];
    const corners = [
      [0, 100],
      [20, 40],
      [12, 48],
      [12, 0],
      [-12, 0],
      [-12, 48],
      [-20, 40],
    ];
    corners.forEach(([x, y], k) => {
      const [nextX, nextY] = corners[(k + 1) % corners.length];
      for (let i = 0; i < 100; i++) points.push(x + ((nextX - x) * i) / 100, y + ((nextY - y) * i) / 100, 0);
    });
    const mesh = { positions: new Float64Array(9), triangles: Uint32Array.of(0, 1, 2) };
    const { surface: _, ...barbed } = modelOf(mesh, Float64Array.from(points), 100, {
      meanEdge: 0.2,
      noise: 0,
    });
    const { result, value } = measured(barbed);
    // From station 95 down to 40, back up to 48 and down to 5: 55 + 8 + 43 over 90.
    for (const side of ['left', 'right']) {
      expect(Math.abs(value(`sinuosity.${side}`) - 106 / 90)).toBeLessThan(0.005);
      const { resolution = NaN } = result.values[`edge.sinuosity.${side}`].components ?? {};
      expect(resolution).toBeCloseTo((Math.SQRT2 * 0.2) / Math.sqrt(12) / 90, 4);
    }
  });

  test('a wedge-shaped piece that is level has none of it', () => {
    const { value } = measured(barModel({ length: 50, edge: 1, section: () => wedgeSection(10, 40) }));
    expect(value('wander.left')).toBe(0);
    expect(value('sinuosity.left')).toBeCloseTo(1, 12);
    expect(Math.abs(value('offset.left') - 50)).toBeLessThan(0.5);
  });
});

describe('a margin that is a wall', () => {
  test('may have been meant anywhere on it: wander and range are as unsure as half-way up or down', () => {
    const length = 100;
    const model = windingBar(() => 0, length);
    const n = model.outline.outer.length / 2;
    // Where the outline is between y = 40 and 60 a wall reaches 1.5 mm up and down.
    const wall = Float64Array.from({ length: n }, (_, i) =>
      Math.abs(model.outline.outer[2 * i + 1] - length / 2) < 10 ? 1.5 : 0,
    );
    const none = new Float64Array(n);
    const u = (left: Model['outline']['left']): number[] => {
      const walled = { ...model, outline: { ...model.outline, ...(left && { left }) } };
      const { values } = edgeLine.compute(walled, SETTINGS, createShared(walled, SETTINGS));
      return ['wander', 'range'].map((id) => values[`edge.${id}.left`].components?.tracing ?? NaN);
    };
    const [wander, range] = u({ plan: none, height: none, wall });
    const [plainWander, plainRange] = u({ plan: none, height: none, wall: none });
    const height = 1.5 / Math.sqrt(3);
    // A fifth of 90 mm at one height and the rest at another: the root mean square about their line, which is level.
    const share = 20 / 90;
    expect(wander / (height * Math.sqrt(share * (1 - share)))).toBeCloseTo(1, 1);
    expect(range / height).toBeCloseTo(1, 1);
    expect(plainWander).toBeLessThan(wander / 5);
    expect(plainRange).toBeLessThan(range / 5);
  });
});

test('edge range says how much every second point would miss', () => {
  const length = 100;
  const flat = windingBar(() => 0, length);
  const { margin } = flat;
  if (margin === undefined) throw new Error('a bar has a margin');
  // In the middle a zigzag from point to point: every second one sees half of it.
  const points = margin.points.map((c, i) => {
    const middle = Math.abs(margin.points[i - 1] - length / 2) < 20;
    return i % 3 === 2 && middle ? c + (i % 2 === 0 ? 0.5 : -0.5) : c;
  });
  const model = { ...flat, margin: { ...margin, points } };
  const { values } = edgeLine.compute(model, SETTINGS, createShared(model, SETTINGS));
  const { components } = values['edge.range.left'];
  expect(components?.resolution).toBeCloseTo(0.5, 1);
  const smooth = windingBar((y) => 0.5 * Math.sin(y / 10), length);
  const calm = edgeLine.compute(smooth, SETTINGS, createShared(smooth, SETTINGS)).values['edge.range.left'];
  expect(calm.components?.resolution).toBeLessThan(0.01);
});
