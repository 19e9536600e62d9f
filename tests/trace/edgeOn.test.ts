import { describe, expect, it } from 'vitest';
import type { Points2 } from '../../src/geometry/types.ts';
import { traceEdgeOn } from '../../src/trace/edgeOn.ts';
import { meanEdgeOn } from '../../src/trace/edgeOnMean.ts';
import { traceEndOn } from '../../src/trace/endOn.ts';
import { layOutline } from '../../src/trace/faceRepeat.ts';
import { modelOf } from '../measures/support/model.ts';
import { planPolygon } from '../pieces/outlines.ts';

/** Closed forms: a bowed lens 60 mm long, thickness 9·√sin(πt)·(1.25 − t/2), middle line bowed by 1 mm to +x. */
const half = (t: number): number => 4.5 * Math.sqrt(Math.max(0, Math.sin(Math.PI * t))) * (1.25 - 0.5 * t);
const STEPS = 600;
const LENS = Float64Array.from({ length: 4 * STEPS }, (_, i) => {
  const k = i >> 1;
  const up = k < STEPS;
  const t = (up ? k : 2 * STEPS - 1 - k) / (STEPS - 1);
  if (i % 2 === 1) return 60 * t;
  return Math.sin(Math.PI * t) + (up ? half(t) : -half(t));
});

/** Its plan, 40 mm wide, with so many stations. */
const planOf = (stations: number, length = 60) => {
  const outer = Float64Array.of(-20, 0, 20, 0, 20, length, -20, length);
  const { outline, midline } = modelOf({ outer, stations });
  return { outer: outline.outer, midline, length };
};

const EXACT = { pixel: 0, noise: 0, tracing: 0, scale: 0 };

/** A silhouette as it is seen from the other side. */
function mirroredRing(ring: Points2): Points2 {
  const n = ring.length / 2;
  return ring.map((_, i) => {
    const v = ring[2 * (n - 1 - (i >> 1)) + (i & 1)];
    return (i & 1) === 0 ? -v : v;
  });
}

function placed(ring: Points2, angle: number, x: number, y: number): Points2 {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return ring.map((_, i) => {
    const [px, py] = [ring[i & ~1], ring[i | 1]];
    return (i & 1) === 0 ? c * px - s * py + x : s * px + c * py + y;
  });
}

describe('a silhouette seen edge-on', () => {
  it.each([0, 1.1, 2.9, -2])('gives its thickness at every station, turned by %f', (angle) => {
    const { edgeOn, warnings } = traceEdgeOn(placed(LENS, angle, 30, -12), 'left', planOf(201));
    expect(warnings).toEqual([]);
    for (let k = 10; k <= 190; k += 10) {
      const height = edgeOn.faceA[k] - edgeOn.faceB[k];
      expect(Math.abs(height - 2 * half(k / 200))).toBeLessThan(0.03);
    }
    // Seen from the left, Face A is on the right: the bow goes to Face A.
    expect((edgeOn.faceA[100] + edgeOn.faceB[100]) / 2).toBeGreaterThan(0.8);
  });

  it('from the right shows the same faces mirrored', () => {
    const mirrored = LENS.map((v, i) => (i % 2 === 0 ? -v : v));
    const ring = Float64Array.from(mirrored, (_, i) => mirrored[2 * (2 * STEPS - 1 - (i >> 1)) + (i & 1)]);
    const left = traceEdgeOn(LENS, 'left', planOf(101)).edgeOn;
    const right = traceEdgeOn(ring, 'right', planOf(101)).edgeOn;
    for (let k = 5; k < 96; k++) {
      expect(right.faceA[k]).toBeCloseTo(left.faceA[k], 6);
      expect(right.faceB[k]).toBeCloseTo(left.faceB[k], 6);
    }
  });

  it('has its tip where that of Face A points in its picture, however much the ends hold', () => {
    const thickAt = (angle: number, tipward?: readonly [number, number]): number => {
      const { edgeOn } = traceEdgeOn(placed(LENS, angle, 3, 4), 'left', planOf(201), tipward && { tipward });
      return edgeOn.faceA[40] - edgeOn.faceB[40];
    };
    const [base, tip] = [2 * half(0.2), 2 * half(0.8)];
    // By itself the thinner end is the tip; turned by 0.3 its tip points to (−sin 0.3, cos 0.3).
    expect(thickAt(0.3)).toBeCloseTo(base, 1);
    expect(thickAt(0.3, [-Math.sin(0.3), Math.cos(0.3)])).toBeCloseTo(base, 1);
    expect(thickAt(0.3, [Math.sin(0.3), -Math.cos(0.3)])).toBeCloseTo(tip, 1);
    // Square to it the picture tells nothing.
    expect(thickAt(0.3, [Math.cos(0.3), Math.sin(0.3)])).toBeCloseTo(base, 1);
    const contrary = traceEdgeOn(LENS, 'left', planOf(201), { tipward: [0, -1] });
    expect(contrary.warnings.map(({ text }) => text)).toEqual([expect.stringMatching(/is the larger one/)]);
    expect(traceEdgeOn(LENS, 'left', planOf(201), { tipward: [0, -1], flip: true }).warnings).toEqual([]);
  });

  it('from both sides is their mean, half of what they differ by is kept, and one that stands on its head is told', () => {
    const seen = (ring: Points2, side: 'left' | 'right', up: 1 | -1) =>
      traceEdgeOn(ring, side, planOf(201), { tipward: [0, up] }).edgeOn;
    const left = seen(LENS, 'left', 1);
    const right = mirroredRing(LENS);
    const fine = meanEdgeOn(left, seen(right, 'right', 1));
    expect(fine.warnings).toEqual([]);
    expect(Math.max(...fine.edgeOn.apart!.thickness)).toBeLessThan(1e-6);
    const thicker = meanEdgeOn(
      left,
      seen(
        right.map((v, i) => (i % 2 === 0 ? 1.1 * v : v)),
        'right',
        1,
      ),
    );
    const thick = (k: number) => left.faceA[k] - left.faceB[k];
    expect(thicker.edgeOn.apart!.thickness[100]).toBeCloseTo(0.05 * thick(100), 3);
    expect(thicker.warnings.map(({ text }) => text)).toEqual([
      expect.stringMatching(/mm thick, from the right/),
    ]);
    const over = meanEdgeOn(left, seen(right, 'right', -1)).warnings.map(({ text }) => text);
    expect(over).toEqual([expect.stringMatching(/taken to be upside down:/)]);
    const sameSide = meanEdgeOn(left, seen(LENS, 'right', 1)).warnings.map(({ text }) => text);
    expect(sameSide).toEqual([expect.stringMatching(/shown from the same side as the other/)]);
  });

  it('warns where it is not as long as the plan', () => {
    expect(traceEdgeOn(LENS, 'left', planOf(101, 66)).warnings[0].code).toBe('views-differ');
  });
});

describe('two outlines of one piece', () => {
  const { points } = planPolygon({ shape: 'side-notched', length: 60, width: 34 }, 4);

  it('that are the same but turned and moved differ by nothing', () => {
    expect(layOutline(points, placed(points, 0.02, 0.4, -0.3), 60).rms).toBeLessThan(0.005);
  });

  it.each([
    ['as it lies', 0],
    ['tip to base', Math.PI],
  ])('are laid on each other point by point, the second %s', (_, turn) => {
    const over = turn === 0 ? points : points.map((v, i) => (i % 2 === 0 ? -v : 60 - v));
    const second = placed(over, 0.02, 0.4, -0.3);
    const { turn: back, shift } = layOutline(points, second, 60);
    const [c, s] = [Math.cos(back), Math.sin(back)];
    for (let i = 0; i < points.length; i += 200) {
      const [x, y] = [second[i], second[i + 1]];
      expect(Math.abs(c * x - s * y + shift[0] - points[i])).toBeLessThan(0.02);
      expect(Math.abs(s * x + c * y + shift[1] - points[i + 1])).toBeLessThan(0.02);
    }
  });

  it('of which one is 0.2 mm larger all round differ by nearly that', () => {
    const { length } = points;
    const larger = points.map((v, i) => {
      const [a, b] = [(2 * (i >> 1) + length - 2) % length, (2 * (i >> 1) + 2) % length];
      const [dx, dy] = [points[b] - points[a], points[b + 1] - points[a + 1]];
      const size = Math.hypot(dx, dy);
      return v + 0.2 * ((i & 1) === 0 ? dy / size : -dx / size);
    });
    const difference = layOutline(points, larger, 60).rms;
    expect(difference).toBeGreaterThan(0.15);
    expect(difference).toBeLessThan(0.21);
  });
});

describe('a silhouette seen from the tip', () => {
  /** Ellipse of 30 × 8 mm, its longer axis 25° up from the picture's side. */
  const turned = (25 * Math.PI) / 180;
  const oval = Float64Array.from({ length: 2000 }, (_, i) => {
    const t = (2 * Math.PI * (i >> 1)) / 1000;
    const [x, y] = [15 * Math.cos(t), 4 * Math.sin(t)];
    return i % 2 === 0
      ? x * Math.cos(turned) - y * Math.sin(turned)
      : x * Math.sin(turned) + y * Math.cos(turned);
  });

  const plan = (width: number) => ({ outer: Float64Array.of(), length: 70, width });

  it('is as wide and as thick as its axes are long, whichever way it is turned', () => {
    const { endOn, axis, warnings } = traceEndOn(oval, plan(30), 0, EXACT);
    expect(endOn.width).toBeCloseTo(30, 3);
    expect(endOn.thickness).toBeCloseTo(8, 3);
    expect(warnings).toEqual([]);
    expect(Math.atan((axis[3] - axis[1]) / (axis[2] - axis[0]))).toBeCloseTo(turned, 4);
  });

  it('that is not as wide as the plan is told', () => {
    expect(traceEndOn(oval, plan(27), 0, EXACT).warnings.map(({ code }) => code)).toEqual(['views-differ']);
  });
});
