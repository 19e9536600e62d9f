import { describe, expect, it } from 'vitest';
import { convexHull } from '../../src/geometry/hull.ts';
import type { Points2 } from '../../src/geometry/types.ts';
import { layAlong, placeOfSeen, seenAt, thicknessAslant } from '../../src/trace/aslant.ts';
import { layEdgeLine, traceEdgeOn } from '../../src/trace/edgeOn.ts';
import { traceEndOn } from '../../src/trace/endOn.ts';
import { modelOf } from '../measures/support/model.ts';

/** What a section shows by a slant, brute force: greatest extent of z + slant·w over points of its rim. */
function shown(half: (u: number) => number, thick: number, wide: number, slant: number): number {
  let [top, bottom] = [-Infinity, Infinity];
  for (let k = 0; k <= 4000; k++) {
    const u = k / 2000 - 1;
    top = Math.max(top, (thick / 2) * half(u) + (slant * wide * u) / 2);
    bottom = Math.min(bottom, (-thick / 2) * half(u) + (slant * wide * u) / 2);
  }
  return top - bottom;
}

const LENS = (u: number): number => 1 - u * u;
const RHOMB = (u: number): number => 1 - Math.abs(u);
const ELLIPSE = (u: number): number => Math.sqrt(1 - u * u);

describe('the thickness of a section seen aslant', () => {
  it.each([0, 0.05, 0.1, 0.2, 0.3, 0.5])('is that of a lens by a slant of %f', (slant) => {
    expect(thicknessAslant(shown(LENS, 12, 40, slant), 40, slant).value).toBeCloseTo(12, 4);
  });

  it.each([0.05, 0.1, 0.2, 0.3])('covers a rhomb and an ellipse by a slant of %f', (slant) => {
    for (const form of [RHOMB, ELLIPSE]) {
      const { value, u } = thicknessAslant(shown(form, 12, 40, slant), 40, slant);
      expect(Math.abs(value - 12)).toBeLessThan(Math.sqrt(3) * u);
      expect(Math.abs(value - 12)).toBeGreaterThan(0);
    }
  });

  it('is nearly open where the edges hide the faces', () => {
    const { value, u } = thicknessAslant(shown(LENS, 5, 40, 0.5), 40, 0.5);
    expect(Math.abs(value - 5)).toBeLessThan(u);
    expect(u).toBeGreaterThan(4);
  });

  it('is known no better than a piece stands that is stood up by eye', () => {
    const straight = thicknessAslant(10, 40, 0);
    expect(straight.value).toBe(10);
    // Three degrees show a sixth of 40·tan 3° = 2.1 mm by crests apart, and 2.1²/(4·10) = 0.11 mm of a lens.
    expect(straight.u).toBeCloseTo(Math.hypot(0.15 * 2.094, 0.1097), 2);
    expect(thicknessAslant(10.4, 40, 0.2).u).toBeGreaterThan(2 * straight.u);
  });
});

/** Bodies seen by a pinhole over a plane through their middle, in their own frame: w up from that plane, z across, y along. */
type Body = (along: number, around: number) => readonly [w: number, z: number, y: number];
const [W, T, L] = [40, 12, 90];
/** Paraboloid caps on an elliptic plan: every section is a lens. */
const CAPS: Body = (r, a) => {
  const [w, y] = [(W / 2) * r * Math.cos(a), (L / 2) * r * Math.sin(a)];
  return [w, (T / 2) * (1 - r * r), y];
};
const ELLIPSOID: Body = (r, a) => {
  const [w, y] = [(W / 2) * r * Math.cos(a), (L / 2) * r * Math.sin(a)];
  return [w, (T / 2) * Math.sqrt(1 - r * r), y];
};

/** The silhouette on the plane: hull of all that is seen of a convex body, from the left (w is −x) with the foot of the camera at (z, y). */
function silhouette(body: Body, foot: readonly [number, number], height: number): Points2 {
  const points: number[] = [];
  for (let i = 0; i <= 150; i++) {
    for (let k = 0; k < 360; k++) {
      const [w, z, y] = body(i / 150, (k * Math.PI) / 180);
      for (const side of [z, -z]) {
        points.push(foot[0] + seenAt(side - foot[0], w, height), foot[1] + seenAt(y - foot[1], w, height));
      }
    }
  }
  return convexHull(Float64Array.from(points));
}

const PLAN = modelOf({
  outer: Float64Array.from({ length: 1600 }, (_, i) => {
    const a = (Math.PI * (i >> 1)) / 400;
    return i % 2 === 0 ? (W / 2) * Math.cos(a) : (L / 2) * Math.sin(a);
  }),
});
const STANDING = { outer: PLAN.outline.outer, midline: PLAN.midline, length: L };

describe('a silhouette seen edge-on from a known place', () => {
  const seen = (body: Body, foot: readonly [number, number], height: number, known = true) =>
    traceEdgeOn(silhouette(body, foot, height), 'left', STANDING, {
      tipward: [0, 1],
      ...(known ? { camera: { x: foot[0], y: foot[1], height } } : {}),
    });
  const FEET: readonly (readonly [number, number])[] = [
    [0, 0],
    [60, 0],
    [-80, 20],
    [40, 150],
  ];

  it.each(FEET)('of lens form is as thick at every station as the body, the foot at (%i, %i)', (...foot) => {
    const { edgeOn, warnings } = seen(CAPS, foot, 350);
    expect(warnings).toEqual([]);
    for (let k = 20; k <= 180; k += 20) {
      const share = (2 * k) / 200 - 1;
      const thick = edgeOn.faceA[k] - edgeOn.faceB[k];
      expect(Math.abs(thick - T * (1 - share * share))).toBeLessThan(0.12);
      // What stands out on the nearer side is seen larger, by some hundredths.
      expect(Math.abs(edgeOn.faceA[k] + edgeOn.faceB[k]) / 2).toBeLessThan(0.12);
    }
  });

  it.each(FEET)('of an ellipsoid lies within its uncertainty, the foot at (%i, %i)', (...foot) => {
    const { edgeOn } = seen(ELLIPSOID, foot, 350);
    for (let k = 20; k <= 180; k += 20) {
      const share = (2 * k) / 200 - 1;
      const off = edgeOn.faceA[k] - edgeOn.faceB[k] - T * Math.sqrt(1 - share * share);
      expect(Math.abs(off)).toBeLessThan(2 * edgeOn.aslant.thickness[k]);
    }
  });

  it('would be too thick by more than it is now known to, were the slant left in', () => {
    const left = seen(CAPS, [-80, 20], 350, false).edgeOn;
    expect(left.faceA[100] - left.faceB[100]).toBeGreaterThan(T + 1);
    const out = seen(CAPS, [-80, 20], 350).edgeOn;
    expect(Math.abs(out.faceA[100] - out.faceB[100] - T)).toBeLessThan(0.1);
  });

  it('gives the heights of a traced edge, which stands lower towards its ends than where it is widest', () => {
    const foot = [-80, 20] as const;
    const { frame } = seen(CAPS, foot, 350);
    const winding = (y: number): number => 0.8 * Math.sin((2 * Math.PI * y) / 30);
    const half = (y: number): number => (W / 2) * Math.sqrt(Math.max(0, 1 - (y / (L / 2)) ** 2));
    // The line is drawn in a plane a whole width up, half a width over that of the silhouette.
    const line = Float64Array.from({ length: 162 }, (_, i) => {
      const y = (i >> 1) - 40;
      const [at, of] = i % 2 === 0 ? [winding(y), foot[0]] : [y, foot[1]];
      return of + seenAt(at - of, half(y) - W / 2, 350 - W / 2);
    });
    const points = layEdgeLine(line, frame, L, (y) => -half(y - L / 2));
    // Its measures are about its own straight line: that of the silhouette's pointed ends need not be it.
    const off = (i: number): number => (points?.[3 * i + 2] ?? Number.NaN) - winding(i - 40);
    for (let i = 0; i <= 80; i++) {
      expect(points?.[3 * i + 1]).toBeCloseTo(i - 40 + L / 2, 1);
      expect(Math.abs(off(i) - off(0) - ((off(80) - off(0)) * i) / 80)).toBeLessThan(0.01);
    }
  });

  it('tells from where it was seen', () => {
    expect(seen(CAPS, [-80, 20], 350).edgeOn.slant).toBeCloseTo(80 / 350, 2);
    expect(seen(CAPS, [-80, 20], 350, false).edgeOn.slant).toBe(0);
  });
});

describe('a silhouette seen from the tip from a known place', () => {
  it('has what it shows of the length taken out, within its uncertainty', () => {
    const foot = [-30, 10] as const;
    // The tip up: the length stands upright, the width lies along.
    const standing: Body = (r, a) => {
      const [w, z, y] = CAPS(r, a);
      return [y, z, w];
    };
    const plan = { outer: STANDING.outer, length: L, width: W };
    const camera = { x: foot[0], y: foot[1], height: 500 };
    const ring = silhouette(standing, foot, 500);
    const quality = { pixel: 0, noise: 0, tracing: 0, scale: 0 };
    const plain = traceEndOn(ring, plan, 0, quality).endOn;
    const { endOn, warnings } = traceEndOn(ring, plan, 0, quality, camera);
    expect(plain.thickness).toBeGreaterThan(T + 0.5);
    expect(Math.abs(endOn.thickness - T)).toBeLessThan(0.1 * T);
    expect(Math.abs(endOn.thickness - T)).toBeLessThan(endOn.aslant);
    expect(warnings).toEqual([]);
  });
});

describe('what stands over a plane', () => {
  it('is seen away from the foot of the camera, and back', () => {
    expect(seenAt(30, 20, 320)).toBe(32);
    expect(placeOfSeen(32, 20, 320)).toBe(30);
    expect(seenAt(30, -20, 320)).toBeLessThan(30);
  });

  it('is laid where the middle of what it shows is that of the silhouette', () => {
    const along = [0, 40, 80];
    const rise = [0, 0, 30];
    const camera = { foot: -100, height: 330 };
    // The last point, at 180 from the foot, is seen at 198: 98 in the plane.
    const laid = layAlong(along, rise, [0, 98], camera);
    expect(laid.zero).toBeCloseTo(0, 6);
    expect(laid.to - laid.from).toBeCloseTo(98, 6);
    expect(layAlong(along, rise, [7, 87], undefined)).toEqual({ zero: 7, from: 7, to: 87 });
  });
});
