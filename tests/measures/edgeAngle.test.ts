import { describe, expect, test } from 'vitest';
import {
  CALIPER_DEPTHS,
  computeEdgeAngles,
  type EdgeAngles,
  NO_ANGLE,
} from '../../src/measures/edgeAngles.ts';
import { DEFAULT_MEASURE_SETTINGS as SETTINGS } from '../../src/measures/settings.ts';
import type { Model } from '../../src/trace/types.ts';
import { createRandom } from '../pieces/random.ts';
import { barModel, lensSection, modelOf, wedgeSection } from './edgeModels.ts';
import { spanTruth } from './spanTruth.ts';

const RAD = Math.PI / 180;

interface Scatter {
  readonly count: number;
  readonly mean: number;
  readonly rmse: number;
  readonly noise: number;
}

/** Of the angles on the sides, against the truth; places nearer than 4 mm to a flat end are left out. */
function scatter(angles: EdgeAngles, truth: (i: number) => number): Scatter {
  let [count, sum, squares, noise] = [0, 0, 0, 0];
  for (let i = 0; i < angles.count; i++) {
    if (angles.side[i] !== 'left' && angles.side[i] !== 'right') continue;
    expect(angles.reason[i]).toBe(NO_ANGLE.valid);
    count++;
    sum += angles.angle[i];
    squares += (angles.angle[i] - truth(i)) ** 2;
    noise += angles.noise[i] ** 2;
  }
  return { count, mean: sum / count, rmse: Math.sqrt(squares / count), noise: Math.sqrt(noise / count) };
}

const wedge = (angle: number, more: Partial<Parameters<typeof barModel>[0]> = {}) =>
  barModel({ length: 60, edge: 0.35, section: () => wedgeSection(12, angle), ...more });

describe('a straight wedge', () => {
  test.each([10, 25, 40, 60, 90, 110, 130])(
    'of %d° is measured to 0.01°, wherever the vertices lie',
    (angle) => {
      const angles = computeEdgeAngles(wedge(angle, { jitter: createRandom(angle) }), SETTINGS);
      const found = scatter(angles, () => angle);
      expect(found.count).toBe(108);
      expect(found.rmse).toBeLessThan(0.01);
      for (const caliper of angles.caliper) {
        const column = caliper.filter((_, i) => angles.side[i] === 'left');
        expect(column.length).toBeGreaterThan(50);
        expect(column.every((a) => Math.abs(a - angle) < 0.01)).toBe(true);
      }
    },
  );

  test.each([20, 45, 70, 100])(
    'of %d° with 0.05 mm of noise has an RMSE of at most 2°, as its uncertainty says, and no bias',
    (angle) => {
      const random = createRandom(1000 + angle);
      const angles = computeEdgeAngles(
        wedge(angle, { jitter: random, noise: { sd: 0.05, random } }),
        SETTINGS,
      );
      const found = scatter(angles, () => angle);
      expect(found.rmse).toBeLessThan(2);
      expect(found.rmse / found.noise).toBeGreaterThan(0.7);
      expect(found.rmse / found.noise).toBeLessThan(1.4);
      expect(Math.abs(found.mean - angle)).toBeLessThan((4 * found.noise) / Math.sqrt(found.count));
    },
  );

  test.each([0.1, 0.3, 0.5])('of 50° rounded at %d mm keeps its angle to 0.5°', (radius) => {
    const angles = computeEdgeAngles(
      barModel({
        length: 40,
        edge: 0.2,
        section: () => roundedWedge(12, 50, radius),
        margin: () => ({ right: [roundedTip(12, 50, radius), 0], left: [-12, 0] }),
      }),
      SETTINGS,
    );
    let count = 0;
    for (let i = 0; i < angles.count; i++) {
      if (angles.side[i] !== 'right' || angles.reason[i] !== NO_ANGLE.valid) continue;
      count++;
      expect(Math.abs(angles.angle[i] - 50)).toBeLessThan(0.5);
    }
    expect(count).toBeGreaterThan(30);
  });

  test('one face steeper than the other: the angle is their sum, the margin need not be level with either', () => {
    const model = barModel({
      length: 50,
      edge: 0.35,
      section: () => [
        [12, 0],
        [0, 12 * Math.tan(50 * RAD)],
        [-12, 0],
        [0, -12 * Math.tan(5 * RAD)],
      ],
    });
    expect(scatter(computeEdgeAngles(model, SETTINGS), () => 55).rmse).toBeLessThan(0.01);
  });
});

/** x of the outermost point of a wedge whose apex at `halfWidth` is rounded at `radius`. */
function roundedTip(halfWidth: number, angle: number, radius: number): number {
  return halfWidth - radius / Math.sin((angle / 2) * RAD) + radius;
}

/** Rhombic section whose right edge is rounded, starting at the outermost point. */
function roundedWedge(halfWidth: number, angle: number, radius: number): [number, number][] {
  const centre = halfWidth - radius / Math.sin((angle / 2) * RAD);
  const half = 90 - angle / 2;
  const arc = (from: number, to: number): [number, number][] =>
    Array.from({ length: 40 }, (_, i) => {
      const a = (from + ((to - from) * i) / 40) * RAD;
      return [centre + radius * Math.cos(a), radius * Math.sin(a)];
    });
  const [, top, left, bottom] = wedgeSection(halfWidth, angle);
  return [...arc(0, half), top, left, bottom, ...arc(-half, 0)];
}

describe('a lens of two equal circular arcs', () => {
  const [width, sagitta] = [30, 6];
  const radius = width ** 2 / (8 * sagitta) + sagitta / 2;
  const face = (x: number) => Math.sqrt(radius ** 2 - x ** 2) - (radius - sagitta);
  const truth = (inner: number, outer: number) =>
    spanTruth(face, (x) => -face(x), [width / 2, 0, 0], [0, -1, 0], inner, outer);
  const model = barModel({
    length: 50,
    edge: 0.25,
    section: () => lensSection(width, sagitta),
    jitter: createRandom(3),
  });

  test('the plain sums agree with 4·atan(2h/W) at the very edge', () => {
    expect(truth(0, 1e-3).angle).toBeCloseTo((4 * Math.atan((2 * sagitta) / width)) / RAD, 1);
  });

  test.each([
    [0.5, 3],
    [0.2, 1],
    [1, 4],
  ])('fitted from %d to %d mm has the smaller angle of that span, to 0.1°', (edgeInner, edgeOuter) => {
    const settings = { ...SETTINGS, edgeInner, edgeOuter };
    const exact = truth(edgeInner, edgeOuter).angle;
    expect(exact).toBeLessThan((4 * Math.atan((2 * sagitta) / width)) / RAD - 1);
    expect(scatter(computeEdgeAngles(model, settings), () => exact).rmse).toBeLessThan(0.1);
  });

  test('has the caliper angles of its thickness square to the bisector, to 0.1°', () => {
    const angles = computeEdgeAngles(model, SETTINGS);
    CALIPER_DEPTHS.forEach((depth, k) => {
      const exact = (2 * Math.atan(face(width / 2 - depth) / depth)) / RAD;
      const column = angles.caliper[k].filter(
        (_, i) => angles.side[i] === 'left' || angles.side[i] === 'right',
      );
      expect(column.length).toBeGreaterThan(80);
      for (const caliper of column) expect(Math.abs(caliper - exact)).toBeLessThan(0.1);
    });
  });
});

describe('an edge that is curved', () => {
  test('the equator of an ellipsoid has the angle of each section square to it', () => {
    const [a, b, c] = [22, 40, 9];
    const model = ellipsoid(a, b, c, 0.5);
    const face = (x: number, y: number) => c * Math.sqrt(Math.max(0, 1 - (x / a) ** 2 - ((y - b) / b) ** 2));
    const angles = computeEdgeAngles(model, SETTINGS);
    let count = 0;
    let squares = 0;
    for (let i = 0; i < angles.count; i += 3) {
      expect(angles.reason[i]).toBe(NO_ANGLE.valid);
      const [x, y] = [angles.x[i], angles.y[i]];
      const tangent = [(y - b) / b ** 2, -x / a ** 2, 0] as const;
      const exact = spanTruth(face, (p, q) => -face(p, q), [x, y, 0], tangent, 0.5, 3);
      squares += (angles.angle[i] - exact.angle) ** 2;
      count++;
    }
    expect(count).toBeGreaterThan(50);
    expect(Math.sqrt(squares / count)).toBeLessThan(0.5);
  });

  test.each([
    [1, 20],
    [1.5, 14],
    [2, 25],
  ])('one that winds by %d mm over %d mm has the angle square to its own direction', (height, wavelength) => {
    const k = (2 * Math.PI) / wavelength;
    const rise = (y: number) => height * Math.sin(k * y);
    const slope = Math.tan(25 * RAD);
    const model = barModel({
      length: 60,
      edge: 0.3,
      section: (y) => wedgeSection(12, 50).map(([x, z]) => [x, z + rise(y)]),
      margin: (y) => ({ right: [12, rise(y)], left: [-12, rise(y)] }),
      jitter: createRandom(9),
    });
    const top = (x: number, y: number) => rise(y) + slope * (12 - Math.abs(x));
    const bottom = (x: number, y: number) => rise(y) - slope * (12 - Math.abs(x));
    const angles = computeEdgeAngles(model, SETTINGS);
    const found = scatter(angles, (i) => {
      const side = Math.sign(angles.x[i]);
      const tangent = [0, -side, -side * height * k * Math.cos(k * angles.y[i])] as const;
      return spanTruth(top, bottom, [angles.x[i], angles.y[i], angles.z[i]], tangent, 0.5, 3, 300).angle;
    });
    expect(found.rmse).toBeLessThan(0.5);
  });
});

/** Both halves meshed from the equator to the poles; the tip at the top of y, the base at y = 0. */
function ellipsoid(a: number, b: number, c: number, edge: number): Model {
  const round = Math.round((2 * Math.PI * Math.sqrt((a * a + b * b) / 2)) / edge);
  const rings = Math.round((1.6 * a) / edge);
  const positions: number[] = [];
  const triangles: number[] = [];
  const at = (ring: number, i: number) => (ring + rings) * round + (((i % round) + round) % round);
  for (let ring = -rings; ring <= rings; ring++) {
    // Even steps of latitude would leave long triangles at the equator of a flat body; the poles stay open by a hair.
    const latitude = (Math.PI / 2) * (ring / rings) * 0.9999;
    for (let i = 0; i < round; i++) {
      const longitude = (2 * Math.PI * (i + (ring % 2) / 2)) / round;
      positions.push(
        a * Math.cos(latitude) * Math.sin(longitude),
        b + b * Math.cos(latitude) * Math.cos(longitude),
        c * Math.sin(latitude),
      );
    }
  }
  for (let ring = -rings; ring < rings; ring++) {
    for (let i = 0; i < round; i++) {
      triangles.push(at(ring, i), at(ring + 1, i), at(ring, i + 1));
      triangles.push(at(ring, i + 1), at(ring + 1, i), at(ring + 1, i + 1));
    }
  }
  const margin = positions.slice(3 * rings * round, 3 * (rings + 1) * round);
  return modelOf(
    { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) },
    Float64Array.from(margin),
    2 * b,
    { meanEdge: edge, noise: 0 },
  );
}
