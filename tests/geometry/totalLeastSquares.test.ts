import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  addCentred,
  addSegment,
  addSegmentInRing,
  fitLine,
  segmentMoments,
} from '../../src/geometry/totalLeastSquares.ts';

const coordinate = fc.double({ min: -10, max: 10, noNaN: true });

describe('moments of segments', () => {
  test('are those of many small pieces, to the square of the piece', () => {
    fc.assert(
      fc.property(coordinate, coordinate, coordinate, coordinate, (au, aw, bu, bw) => {
        const whole = segmentMoments();
        addSegment(whole, au, aw, bu, bw);
        const pieces = segmentMoments();
        const count = 400;
        for (let k = 0; k < count; k++) {
          const f = (k + 0.5) / count;
          const [u, w] = [au + f * (bu - au), aw + f * (bw - aw)];
          const length = Math.hypot(bu - au, bw - aw) / count;
          [1, u, w, u * u, u * w, w * w].forEach((value, i) => {
            pieces[i] += length * value;
          });
        }
        for (let i = 0; i < 6; i++) expect(whole[i]).toBeCloseTo(pieces[i], 1);
      }),
    );
  });

  test('inside a ring are those of the small pieces that lie in it', () => {
    fc.assert(
      fc.property(coordinate, coordinate, coordinate, coordinate, (au, aw, bu, bw) => {
        const ring = segmentMoments();
        addSegmentInRing(ring, au, aw, bu, bw, 2, 7);
        let length = 0;
        const count = 2000;
        for (let k = 0; k < count; k++) {
          const f = (k + 0.5) / count;
          const distance = Math.hypot(au + f * (bu - au), aw + f * (bw - aw));
          if (distance >= 2 && distance <= 7) length += Math.hypot(bu - au, bw - aw) / count;
        }
        // The sum over pieces is out by at most one piece at each of four crossings.
        expect(Math.abs(ring[0] - length)).toBeLessThanOrEqual(
          (4 * Math.hypot(bu - au, bw - aw)) / count + 1e-12,
        );
      }),
    );
  });

  test('a segment straight through the centre keeps both of its parts in the ring', () => {
    const ring = segmentMoments();
    addSegmentInRing(ring, -5, 0, 4, 0, 1, 3);
    expect(ring[0]).toBeCloseTo(4, 12);
    expect(ring[1]).toBeCloseTo(0, 12);
    expect(ring[3]).toBeCloseTo((2 * (27 - 1)) / 3, 12);
  });
});

describe('the line of least squared distance', () => {
  test('lies along collinear segments, whatever their direction', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1.57, max: 1.57, noNaN: true }),
        coordinate,
        coordinate,
        (angle, u, w) => {
          const m = segmentMoments();
          const [c, s] = [Math.cos(angle), Math.sin(angle)];
          addSegment(m, u, w, u + 2 * c, w + 2 * s);
          addSegment(m, u + 3 * c, w + 3 * s, u + 3.5 * c, w + 3.5 * s);
          const line = fitLine(m);
          expect(Math.abs(Math.sin(line.direction - angle))).toBeLessThan(1e-7);
          expect(Math.sqrt(line.across)).toBeLessThan(1e-6);
          expect(line.length).toBeCloseTo(2.5, 12);
        },
      ),
    );
  });

  test('of a rectangle runs along its longer sides; its variances are those of the four sides', () => {
    const m = segmentMoments();
    const corners = [
      [0, 0],
      [4, 0],
      [4, 1],
      [0, 1],
      [0, 0],
    ];
    for (let i = 0; i < 4; i++)
      addSegment(m, corners[i][0], corners[i][1], corners[i + 1][0], corners[i + 1][1]);
    const line = fitLine(m);
    expect(line.direction).toBeCloseTo(0, 12);
    expect([line.u, line.w]).toEqual([2, 0.5]);
    // Two sides of length 4 (variance 16/12 along u) and two of length 1 at ±2; by hand.
    expect(line.along).toBeCloseTo((2 * 4 * (16 / 12) + 2 * 1 * 4) / 10, 12);
    expect(line.across).toBeCloseTo((2 * 4 * 0.25 + 2 * 1 * (1 / 12)) / 10, 12);
  });

  test('parallel pieces with different offsets give their common direction once each is centred', () => {
    const sum = segmentMoments();
    const raw = segmentMoments();
    for (let k = 0; k < 5; k++) {
      const part = segmentMoments();
      addSegment(part, k, 3 * k, k + 2, 3 * k + 1);
      addSegment(raw, k, 3 * k, k + 2, 3 * k + 1);
      addCentred(sum, part);
    }
    expect(Math.tan(fitLine(sum).direction)).toBeCloseTo(0.5, 9);
    expect(Math.tan(fitLine(raw).direction)).toBeGreaterThan(1);
  });
});
