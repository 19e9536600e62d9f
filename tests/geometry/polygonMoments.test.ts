import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { alignRing, areaBelow, majorAxis, polygonMoments } from '../../src/geometry/polygonMoments.ts';

const rectangle = (w: number, h: number, cx = 0, cy = 0): Float64Array =>
  Float64Array.of(
    cx - w / 2,
    cy - h / 2,
    cx + w / 2,
    cy - h / 2,
    cx + w / 2,
    cy + h / 2,
    cx - w / 2,
    cy + h / 2,
  );

describe('polygonMoments', () => {
  it('of a rectangle are w²/12 and h²/12, far from the origin too', () => {
    const m = polygonMoments([rectangle(4, 10, 1e6, -2e6)]);
    expect(m.area).toBeCloseTo(40, 6);
    expect(m.x).toBeCloseTo(1e6, 6);
    expect(m.y).toBeCloseTo(-2e6, 6);
    expect(m.xx).toBeCloseTo(16 / 12, 6);
    expect(m.yy).toBeCloseTo(100 / 12, 6);
    expect(m.xy).toBeCloseTo(0, 6);
  });

  it('of a right triangle are the closed form bh/2, (b/3, h/3), b²/18, −bh/36', () => {
    const m = polygonMoments([Float64Array.of(0, 0, 6, 0, 0, 3)]);
    expect(m.area).toBeCloseTo(9, 12);
    expect(m.x).toBeCloseTo(2, 12);
    expect(m.y).toBeCloseTo(1, 12);
    expect(m.xx).toBeCloseTo(36 / 18, 12);
    expect(m.yy).toBeCloseTo(9 / 18, 12);
    expect(m.xy).toBeCloseTo(-18 / 36, 12);
  });

  it('a hole run the other way round is taken off', () => {
    const hole = rectangle(2, 2);
    const clockwise = Float64Array.of(...[0, 3, 2, 1].flatMap((i) => [hole[2 * i], hole[2 * i + 1]]));
    expect(polygonMoments([rectangle(4, 4), clockwise]).area).toBeCloseTo(12, 12);
  });

  it('majorAxis finds the direction of a turned rectangle, counter-clockwise from +y', () => {
    for (const degrees of [-80, -30, 0, 15, 60]) {
      const turn = (-degrees * Math.PI) / 180;
      const found = majorAxis(polygonMoments([alignRing(rectangle(4, 10), turn, 0)]));
      expect((found.angle * 180) / Math.PI).toBeCloseTo(degrees, 9);
      expect(found.ratio).toBeCloseTo(100 / 16, 9);
    }
  });
});

describe('areaBelow', () => {
  it('cuts a triangle by similar triangles', () => {
    const triangle = Float64Array.of(0, 0, 6, 0, 0, 3);
    for (const level of [0.5, 1, 2.5]) {
      expect(areaBelow([triangle], level)).toBeCloseTo(9 * (1 - ((3 - level) / 3) ** 2), 12);
    }
    expect(areaBelow([triangle], -1)).toBe(0);
    expect(areaBelow([triangle], 9)).toBeCloseTo(9, 12);
  });

  it('grows from 0 to the whole area for any star-shaped ring', () => {
    const ring = fc
      .array(fc.double({ min: 0.2, max: 3, noNaN: true }), { minLength: 3, maxLength: 40 })
      .map((radii) =>
        Float64Array.from(
          radii.flatMap((r, i) => {
            const a = (2 * Math.PI * i) / radii.length;
            return [r * Math.cos(a), r * Math.sin(a)];
          }),
        ),
      );
    fc.assert(
      fc.property(ring, (points) => {
        const whole = polygonMoments([points]).area;
        let last = 0;
        for (let level = -3.2; level <= 3.2; level += 0.2) {
          const area = areaBelow([points], level);
          expect(area).toBeGreaterThanOrEqual(last - 1e-12);
          last = area;
        }
        expect(last).toBeCloseTo(whole, 9);
      }),
      { numRuns: 100, seed: 7 },
    );
  });
});
