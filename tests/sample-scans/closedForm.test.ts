import { describe, expect, test } from 'vitest';
import { marginRing } from '../../sample-scans/generate/marginRing.ts';
import { planDomain } from '../../sample-scans/generate/planDomain.ts';
import { solidMesh } from '../../sample-scans/generate/solidMesh.ts';
import { Stone } from '../../sample-scans/generate/stone.ts';
import { truthOf } from '../../sample-scans/generate/truth.ts';

const BOX = { x0: -30, y0: -50, x1: 30, y1: 50 };

/** A lens whose faces are paraboloids over an ellipse: everything about it is known by formula. Half-axes and heights in mm. */
const [A, B, TOP, BOTTOM] = [20, 40, 6, 3];
const q = (x: number, y: number): number => 1 - (x / A) ** 2 - (y / B) ** 2;
const lens = new Stone([(x, y) => TOP * q(x, y), (x, y) => BOTTOM * q(x, y)]);
const domain = planDomain(lens, BOX, 0.7);

describe('truth against closed forms', () => {
  const { values, sections, frame } = truthOf(lens, marginRing(lens, domain, 0.1), []);

  test('plan: length, width, area and calipers of an ellipse', () => {
    expect(values.length).toBeCloseTo(2 * B, 3);
    expect(values.width).toBeCloseTo(2 * A, 3);
    expect(values['width.station']).toBeCloseTo(50, 0);
    expect(values.area / (Math.PI * A * B)).toBeCloseTo(1, 5);
    expect(values['feret.max']).toBeCloseTo(2 * B, 3);
    expect(values['feret.min']).toBeCloseTo(2 * A, 3);
  });

  test('faces: volume, balance and thickness of two paraboloids', () => {
    // A paraboloid holds half of its cylinder.
    expect(values.volume / ((Math.PI * A * B * (TOP + BOTTOM)) / 2)).toBeCloseTo(1, 4);
    expect(values['faces.balance']).toBeCloseTo((100 * TOP) / (TOP + BOTTOM), 2);
    expect(values.thickness).toBeCloseTo(TOP + BOTTOM, 4);
    expect(values['thickness.box']).toBeCloseTo(TOP + BOTTOM, 3);
  });

  test('sections: two parabolas, 2/3 of their box', () => {
    for (const { station, area, width, thickness } of sections) {
      const s = 1 - ((station / 100) * 2 - 1) ** 2;
      expect(width).toBeCloseTo(2 * A * Math.sqrt(s), 2);
      expect(thickness).toBeCloseTo((TOP + BOTTOM) * s, 4);
      expect(area / ((2 / 3) * 2 * A * Math.sqrt(s) * (TOP + BOTTOM) * s)).toBeCloseTo(1, 4);
    }
  });

  test('edge: flat, and Face A is the fuller one', () => {
    expect(values['edge.wander.left']).toBeLessThan(1e-6);
    expect(frame.faceA).toBe(0);
  });
});

test('truth does not depend on which way round the stone was knapped', () => {
  const over = new Stone([(x, y) => BOTTOM * q(x, y), (x, y) => TOP * q(x, y)]);
  const { values, frame } = truthOf(over, marginRing(over, planDomain(over, BOX, 0.7), 0.1), []);
  expect(frame.faceA).toBe(1);
  expect(values['faces.balance']).toBeCloseTo((100 * TOP) / (TOP + BOTTOM), 2);
});

/** RMS and range of a height over y about its line, every millimetre of half the ellipse in plan counting the same. */
function windingOf(height: (y: number) => number): { rms: number; range: number } {
  const points: [number, number, number][] = [];
  const n = 20_000;
  for (let k = 0; k < n; k++) {
    const t = (Math.PI * (k + 0.5)) / n;
    const y = -B * Math.cos(t);
    if (Math.abs(y) > 0.9 * B) continue;
    points.push([y, height(y), Math.hypot(A * Math.cos(t), B * Math.sin(t))]);
  }
  const sum = (of: (y: number, z: number) => number): number =>
    points.reduce((total, [y, z, w]) => total + w * of(y, z), 0);
  // Both are odd about mid-length: the line goes through it.
  const slope = sum((y, z) => y * z) / sum((y) => y * y);
  const off = points.map(([y, z]) => z - slope * y);
  return {
    rms: Math.sqrt(sum((y, z) => (z - slope * y) ** 2) / sum(() => 1)),
    range: Math.max(...off) - Math.min(...off),
  };
}

test('a margin that winds as a sine has the wander of a sine, on a leaning plane too', () => {
  const [height, waves, lean] = [1.5, 6, 0.05];
  // Both faces carry the same swell, so the margin stays an ellipse in plan and rises and falls with it.
  const swell = (x: number, y: number): number => height * Math.sin((Math.PI * waves * y) / B) + lean * x;
  const winding = new Stone([
    (x, y) => TOP * q(x, y) + swell(x, y),
    (x, y) => BOTTOM * q(x, y) - swell(x, y),
  ]);
  const { values } = truthOf(winding, marginRing(winding, planDomain(winding, BOX, 0.7), 0.1), []);
  const { rms, range } = windingOf((y) => height * Math.sin((Math.PI * waves * y) / B));
  for (const side of ['left', 'right']) {
    expect(values[`edge.wander.${side}`] / rms).toBeCloseTo(1, 2);
    expect(values[`edge.range.${side}`] / range).toBeCloseTo(1, 2);
  }
  // Leaning does not change how much stone there is.
  expect(values.volume / ((Math.PI * A * B * (TOP + BOTTOM)) / 2)).toBeCloseTo(1, 3);
});

test('the mesh is closed, outward and keeps the volume', () => {
  const { positions, triangles } = solidMesh(lens, domain, 0.7);
  const directed = new Set<string>();
  for (let i = 0; i < triangles.length; i++) {
    directed.add(`${triangles[i]}-${triangles[i % 3 === 2 ? i - 2 : i + 1]}`);
  }
  expect(directed.size).toBe(triangles.length);
  for (const edge of directed) expect(directed.has(edge.split('-').reverse().join('-'))).toBe(true);
  let sum = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const [a, b, c] = [0, 1, 2].map((k) =>
      positions.subarray(3 * triangles[i + k], 3 * triangles[i + k] + 3),
    );
    sum +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) +
      a[1] * (b[2] * c[0] - b[0] * c[2]) +
      a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  expect(sum / 6 / ((Math.PI * A * B * (TOP + BOTTOM)) / 2)).toBeCloseTo(1, 3);
});
