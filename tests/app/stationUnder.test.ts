import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Sight, stationUnder } from '../../src/app/bench/stage/stationUnder.ts';

const LENGTH = 80;
/** Half-axes of an ellipsoid whose middle lies half-way up. */
const [A, B, C] = [20, LENGTH / 2, 6];

/** The sections of the ellipsoid at stations 1 … 99, exact to a chord of 200. */
const cuts = Array.from({ length: 99 }, (_, k) => {
  const y = ((k + 1) * LENGTH) / 100 - B;
  const share = Math.sqrt(1 - (y / B) ** 2);
  return [
    Float32Array.from({ length: 400 }, (_, i) => {
      const angle = (2 * Math.PI * (i >> 1)) / 200;
      return share * (i % 2 === 0 ? A * Math.cos(angle) : C * Math.sin(angle));
    }),
  ];
});

/** y where a line of sight first meets the ellipsoid, by the quadratic equation; NaN where it does not. */
function meets({ from, direction }: Sight): number {
  const [x, y, z] = [from[0] / A, (from[1] - B) / B, from[2] / C];
  const [dx, dy, dz] = [direction[0] / A, direction[1] / B, direction[2] / C];
  const [p, q, r] = [dx * dx + dy * dy + dz * dz, x * dx + y * dy + z * dz, x * x + y * y + z * z - 1];
  const t = (-q - Math.sqrt(q * q - p * r)) / p;
  return from[1] + t * direction[1];
}

/** A line of sight from far off through (across, up) of the picture plane, the eye turned about the length and tilted from it. */
function sightFrom(turn: number, tilt: number, across: number, up: number): Sight {
  const eye = [Math.sin(tilt) * Math.sin(turn), Math.cos(tilt), Math.sin(tilt) * Math.cos(turn)];
  const right = [Math.cos(turn), 0, -Math.sin(turn)];
  const upward = [-Math.cos(tilt) * Math.sin(turn), Math.sin(tilt), -Math.cos(tilt) * Math.cos(turn)];
  const at = (axis: number): number =>
    500 * eye[axis] + across * right[axis] + up * upward[axis] + (axis === 1 ? B : 0);
  return { from: [at(0), at(1), at(2)], direction: [-eye[0], -eye[1], -eye[2]] };
}

describe('the station under a line of sight', () => {
  test('is that of the place of an ellipsoid which it meets first, to a station and what a steep end allows, from any side (200 drawn, seed 11)', () => {
    let met = 0;
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
        fc.double({ min: 0.2, max: Math.PI - 0.2, noNaN: true }),
        fc.double({ min: -18, max: 18, noNaN: true }),
        fc.double({ min: -38, max: 38, noNaN: true }),
        (turn, tilt, across, up) => {
          const sight = sightFrom(turn, tilt, across, up);
          const y = meets(sight);
          const station = stationUnder(cuts, LENGTH, sight);
          if (Number.isNaN(y)) return;
          // Near the ends, and where the sight grazes, steps of sections stand apart by more than a station of height.
          const [ex, ey, ez] = [0, 1, 2].map((axis) => {
            const t = (y - sight.from[1]) / (sight.direction[1] || 1e-12);
            return sight.from[axis] + t * sight.direction[axis];
          });
          const normal = [ex / A ** 2, (ey - B) / B ** 2, ez / C ** 2];
          const facing =
            -normal.reduce((sum, n, axis) => sum + n * sight.direction[axis], 0) / Math.hypot(...normal);
          if (facing < 0.3 || y < 4 || y > LENGTH - 4) return;
          met++;
          expect(station).not.toBeNull();
          expect(Math.abs((station ?? 0) - (100 * y) / LENGTH)).toBeLessThan(2);
        },
      ),
      { numRuns: 200, seed: 11 },
    );
    expect(met).toBeGreaterThan(40);
  });

  test('is exact to half a station from the faces and the edges, and the nearer end from tip and base', () => {
    for (const turn of [0, Math.PI / 2, Math.PI, -Math.PI / 2]) {
      for (const up of [-30, -12.3, 0, 25.4]) {
        const station = stationUnder(cuts, LENGTH, sightFrom(turn, Math.PI / 2, 0.7, up));
        expect(Math.abs((station ?? 0) - (100 * (up + B)) / LENGTH)).toBeLessThanOrEqual(0.5);
      }
    }
    expect(stationUnder(cuts, LENGTH, sightFrom(0, 1e-4, 0, 0))).toBe(99);
    expect(stationUnder(cuts, LENGTH, sightFrom(0, Math.PI - 1e-4, 0, 0))).toBe(1);
  });

  test('is none beside the piece, beyond its ends, or through a hole of it', () => {
    expect(stationUnder(cuts, LENGTH, sightFrom(0, Math.PI / 2, 21, 0))).toBeNull();
    expect(stationUnder(cuts, LENGTH, sightFrom(0, Math.PI / 2, 0, 41))).toBeNull();
    expect(stationUnder(cuts, LENGTH, sightFrom(0.3, 1, 30, 0))).toBeNull();
    // Two separate loops, as of a forked end: nothing stands between them.
    const forked = cuts.map(() => [
      Float32Array.of(-10, -2, -4, -2, -4, 2, -10, 2),
      Float32Array.of(4, -2, 10, -2, 10, 2, 4, 2),
    ]);
    expect(stationUnder(forked, LENGTH, sightFrom(0, Math.PI / 2, 0, 5))).toBeNull();
    expect(stationUnder(forked, LENGTH, sightFrom(0, Math.PI / 2, -7, 0))).toBe(50);
    expect(stationUnder(forked, LENGTH, sightFrom(0, Math.PI / 2, 7, 0))).toBe(50);
  });
});
