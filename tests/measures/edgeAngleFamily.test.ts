import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { edgeAngle } from '../../src/measures/edgeAngle.ts';
import { computeEdgeAngles, NO_ANGLE } from '../../src/measures/edgeAngles.ts';
import { measure } from '../../src/measures/measure.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import { createShared } from '../../src/measures/shared.ts';
import type { MeasureSettings, Value } from '../../src/measures/types.ts';
import type { Model } from '../../src/trace/types.ts';
import { createRandom } from '../pieces/random.ts';
import { barModel, lensSection, modelOf, stretched, wedgeSection } from './edgeModels.ts';

function values(model: Model, settings: MeasureSettings = SETTINGS): Record<string, Value> {
  return edgeAngle.compute(model, settings, createShared(model, settings)).values;
}

const wedge = (angle: number, more: Partial<Parameters<typeof barModel>[0]> = {}) =>
  barModel({ length: 60, edge: 0.35, section: () => wedgeSection(12, angle), ...more });

/** The wedge with parts of its surface taken away, or another margin. */
function altered(model: Model, keep: (x: number, y: number, z: number) => boolean, widen = 1): Model {
  if (model.surface === undefined || model.margin === undefined) throw new Error('no surface');
  const { mesh } = model.surface;
  const triangles = mesh.triangles.filter((_, i) => {
    const at = 3 * mesh.triangles[i - (i % 3)];
    return keep(mesh.positions[at], mesh.positions[at + 1], mesh.positions[at + 2]);
  });
  const points = model.margin.points.map((v, i) => (i % 3 === 0 ? widen * v : v));
  return modelOf({ positions: mesh.positions, triangles }, points, model.length, model.quality);
}

/** A bar whose sides differ and change along it: winding, with unequal faces. */
function unequalBar(seed: number): Model {
  const random = createRandom(seed);
  const high = random.between(3, 8);
  const low = random.between(2, 5);
  const height = random.between(0, 1.5);
  const wavelength = random.between(14, 30);
  const ridge = random.between(-3, 3);
  const rise = (y: number) => height * Math.sin((2 * Math.PI * y) / wavelength);
  return barModel({
    length: 40,
    edge: 0.6,
    section: (y) => [
      [11, rise(y)],
      [ridge, high + rise(y) / 2 + y / 20],
      [-10, -rise(y)],
      [ridge / 2, -low + rise(y) / 2],
    ],
    margin: (y) => ({ right: [11, rise(y)], left: [-10, -rise(y)] }),
    jitter: random,
  });
}

const seeds = fc.integer({ min: 1, max: 1e6 });
const few = { numRuns: 8 };

describe('edge angles', () => {
  test('do not care which face is A', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const model = unequalBar(seed);
        const [a, b] = [model, stretched(model, 1, 1, -1)].map((m) => computeEdgeAngles(m, SETTINGS));
        expect(b.reason).toEqual(a.reason);
        for (let i = 0; i < a.count; i++) {
          if (a.reason[i] !== NO_ANGLE.valid) continue;
          expect(b.angle[i]).toBeCloseTo(a.angle[i], 6);
          expect(b.caliper[0][i]).toBeCloseTo(a.caliper[0][i], 6);
        }
      }),
      few,
    );
  });

  test('of a mirrored piece, or one turned over, are the same with left and right exchanged', () => {
    fc.assert(
      fc.property(seeds, fc.constantFrom(1, -1), (seed, sz) => {
        const model = unequalBar(seed);
        const plain = values(model);
        const mirrored = values(stretched(model, -1, 1, sz));
        for (const statistic of ['mean', 'sd', 'median', 'min', 'max']) {
          const of = (found: typeof plain, place: string) =>
            found[`edge.angle.${place}${statistic}`].value as number;
          expect(of(mirrored, 'left.')).toBeCloseTo(of(plain, 'right.'), 5);
          expect(of(mirrored, 'right.')).toBeCloseTo(of(plain, 'left.'), 5);
          expect(of(mirrored, '')).toBeCloseTo(of(plain, ''), 5);
        }
      }),
      few,
    );
  });

  test('of a straight bar do not change with its size, if the span changes with it', () => {
    const model = barModel({
      length: 40,
      edge: 0.5,
      section: () => lensSection(24, 5),
      jitter: createRandom(4),
    });
    const plain = Number(values(model)['edge.angle.left.mean'].value);
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 4, noNaN: true }), (k) => {
        const settings = {
          ...SETTINGS,
          edgeSpacing: SETTINGS.edgeSpacing * k,
          edgeInner: SETTINGS.edgeInner * k,
          edgeOuter: SETTINGS.edgeOuter * k,
        };
        const scaled = values(stretched(model, k, k, k), settings);
        expect(Math.abs(Number(scaled['edge.angle.left.mean'].value) - plain)).toBeLessThan(0.05);
      }),
      few,
    );
  });

  test('leave the model as it was', () => {
    const model = unequalBar(17);
    const before = structuredClone(model);
    values(model);
    expect(model).toEqual(before);
  });
});

describe('places without an angle', () => {
  test('on a marked break say so, also round the tip', () => {
    const settings = { ...SETTINGS, breaks: [[30, 45] as const, [160, 5] as const] };
    const angles = computeEdgeAngles(wedge(40), settings);
    for (let i = 0; i < angles.count; i++) {
      const s = angles.arc[i];
      const onBreak = (s >= 30 && s <= 45) || s >= 160 || s <= 5;
      expect(angles.reason[i] === NO_ANGLE.break).toBe(onBreak);
      if (onBreak) expect(angles.angle[i]).toBeNaN();
    }
  });

  test('on a stretch left out by hand say why; the others keep their angles', () => {
    const settings = { ...SETTINGS, excluded: [{ from: 160, to: 5, reason: 'modern damage' }] };
    const whole = computeEdgeAngles(wedge(40), SETTINGS);
    const angles = computeEdgeAngles(wedge(40), settings);
    for (let i = 0; i < angles.count; i++) {
      const leftOut = angles.arc[i] >= 160 || angles.arc[i] <= 5;
      expect(angles.reason[i]).toBe(leftOut ? 'left out: modern damage' : whole.reason[i]);
      expect(angles.angle[i]).toBe(leftOut ? NaN : whole.angle[i]);
    }
    expect(angles.reason.filter((reason) => reason.startsWith('left out')).length).toBeGreaterThan(3);
  });

  test('within 1 mm of a corner of the plan say so, and only there', () => {
    const angles = computeEdgeAngles(wedge(40), SETTINGS);
    let corners = 0;
    for (let i = 0; i < angles.count; i++) {
      const alongEnd = 12 - Math.abs(angles.x[i]);
      const alongSide = Math.min(angles.y[i], 60 - angles.y[i]);
      const toCorner = Math.hypot(alongEnd, alongSide);
      if (toCorner < 0.8) {
        corners++;
        expect(angles.reason[i]).toBe(NO_ANGLE.corner);
      }
      if (toCorner > 1.2) expect(angles.reason[i]).not.toBe(NO_ANGLE.corner);
    }
    expect(corners).toBeGreaterThanOrEqual(4);
  });

  test('where the piece is too narrow for the span say so', () => {
    const found = values(barModel({ length: 40, edge: 0.25, section: () => wedgeSection(2.5, 40) }));
    expect(found['edge.angle.left.mean']).toEqual({
      value: null,
      reason: `no place has an angle: ${NO_ANGLE.narrow}`,
    });
  });

  test('where one face has a hole say which', () => {
    const open = altered(wedge(40), (x, y, z) => !(x > 9 && x < 11.8 && y > 20 && y < 30 && z < 0));
    const angles = computeEdgeAngles(open, SETTINGS);
    for (let i = 0; i < angles.count; i++) {
      if (angles.side[i] !== 'right') continue;
      if (angles.y[i] > 22 && angles.y[i] < 28) expect(angles.reason[i]).toBe(NO_ANGLE.faceB);
      if (angles.y[i] < 19 || angles.y[i] > 31) expect(angles.angle[i]).toBeCloseTo(40, 6);
    }
  });

  test('where the margin runs through the air say so, and the piece gets a warning', () => {
    const away = altered(wedge(40), () => true, 1.2);
    const angles = computeEdgeAngles(away, SETTINGS);
    const sides = angles.reason.filter((_, i) => angles.side[i] === 'left' || angles.side[i] === 'right');
    // Beside the corners of the plan the corner is the first reason.
    expect(new Set(sides)).toEqual(new Set([NO_ANGLE.missed]));
    const { warnings } = edgeAngle.compute(away, SETTINGS, createShared(away, SETTINGS));
    expect(warnings?.map((w) => w.code)).toEqual(['few-edge-angles']);
  });
});

describe('a rounded edge', () => {
  /** A 60° wedge whose edges at ±12 are rounded off with a radius: by r/sin 30° − r = r in plan. */
  const rounded = (r: number): Model =>
    barModel({
      // Long, so that its two flat ends make up less than a quarter of the margin.
      length: 100,
      edge: 0.3,
      section: () => {
        const arc = Array.from({ length: 13 }, (_, k): readonly [number, number] => {
          const turn = ((k - 6) * Math.PI) / 18;
          return [12 - 2 * r + r * Math.cos(turn), r * Math.sin(turn)];
        });
        const right = arc.slice(6);
        const left = arc.toReversed().map(([x, z]) => [-x, z] as const);
        return [
          ...right,
          [0, 12 * Math.tan(Math.PI / 6)],
          ...left,
          [0, -12 * Math.tan(Math.PI / 6)],
          ...arc.slice(0, 6),
        ];
      },
    });

  test.each([0.1, 0.25])('of %d mm lies as far inside of where the faces would meet, and is told', (r) => {
    const model = rounded(r);
    const angles = computeEdgeAngles(model, SETTINGS);
    const found = angles.beyond.filter((_, i) => angles.station[i] > 20 && angles.station[i] < 60);
    expect(found.length).toBeGreaterThan(40);
    for (const gap of found) expect(Math.abs(gap - r)).toBeLessThan(0.02);
    const { warnings } = edgeAngle.compute(model, SETTINGS, createShared(model, SETTINGS));
    expect(warnings?.map(({ code, text }) => [code, text.includes(' mm outside of')])).toEqual([
      ['edge-rounded', true],
    ]);
  });

  test.each([0.1, 0.25])('of %d mm is in the uncertainty of what it shortens, and of nothing else', (r) => {
    const { measurements } = measure(rounded(r), SETTINGS);
    const row = (id: string) => measurements.find((m) => m.id === id)!;
    // The stone that was sharp is 2 · r wider than what is left of it; one that was round is as wide as that.
    for (const id of ['width', 'width.at.50', 'section.50.width', 'feret.min']) {
      const missing = 24 - (row(id).value as number);
      expect(Math.abs(missing - 2 * r)).toBeLessThan(0.02);
      expect(row(id).u).toBeGreaterThan(0.9 * Math.SQRT1_2 * missing);
      expect(row(id).u).toBeLessThan(1.2 * Math.SQRT1_2 * missing);
    }
    expect(row('area').u).toBeGreaterThan(0.9 * Math.SQRT1_2 * 2 * r * 100);
    expect(row('thickness').components?.tracing).toBeUndefined();
    expect((row('width.thickness').u as number) / (row('width.thickness').value as number)).toBeGreaterThan(
      (0.9 * Math.SQRT1_2 * 2 * r) / 24,
    );
  });

  test('that is sharp, or a lens with sharp edges, is none', () => {
    for (const section of [wedgeSection(12, 60), lensSection(24, 5, 200)]) {
      const model = barModel({ length: 40, edge: 0.3, section: () => section });
      const angles = computeEdgeAngles(model, SETTINGS);
      const found = angles.beyond.filter((_, i) => angles.station[i] > 15 && angles.station[i] < 85);
      expect(Math.max(...found.map(Math.abs))).toBeLessThan(0.02);
      expect(edgeAngle.compute(model, SETTINGS, createShared(model, SETTINGS)).warnings).toEqual([]);
    }
  });
});

describe('the family', () => {
  const model = unequalBar(5);
  const result = edgeAngle.compute(model, SETTINGS, createShared(model, SETTINGS));
  const series = result.series?.edgeAngle ?? {};
  const valid = series.valid as number[];

  test('has a value for each of its rows and no other', () => {
    expect(Object.keys(result.values).sort()).toEqual(edgeAngle.rows.map((row) => row.id).sort());
    expect(result.warnings).toEqual([]);
  });

  test('its statistics are those of the series', () => {
    const angles = Array.from(series.angle as Float64Array).filter((_, i) => valid[i] === 1);
    const mean = angles.reduce((a, b) => a + b, 0) / angles.length;
    const variance = angles.reduce((sum, a) => sum + (a - mean) ** 2, 0) / (angles.length - 1);
    const value = (id: string) => Number(result.values[id].value);
    expect(value('edge.angle.mean')).toBeCloseTo(mean, 9);
    expect(value('edge.angle.min')).toBe(Math.min(...angles));
    expect(value('edge.angle.max')).toBe(Math.max(...angles));
    expect(value('edge.angle.sd')).toBeCloseTo(Math.sqrt(variance), 9);
    const below = angles.filter((a) => a < value('edge.angle.median')).length;
    expect(Math.abs(below - angles.length / 2)).toBeLessThanOrEqual(0.5);
  });

  test('its columns are equally long and name their side and reason', () => {
    const names = 'arc side station x y z angle caliper2 caliper5 caliper10 valid reason';
    expect(Object.keys(series).join(' ')).toBe(names);
    expect(new Set(Object.values(series).map((column) => column.length)).size).toBe(1);
    valid.forEach((flag, i) => {
      expect(flag === 1).toBe((series.reason as string[])[i] === '');
    });
  });

  test('knows the mean of many noisy places better than one place', () => {
    const found = values(wedge(40, { noise: { sd: 0.05, random: createRandom(31) } }));
    const u = (id: string) => found[id].components?.noise ?? NaN;
    expect(u('edge.angle.left.mean')).toBeGreaterThan(0);
    expect(u('edge.angle.left.mean')).toBeLessThan(u('edge.angle.left.max') / 5);
  });
});
