import { describe, expect, it } from 'vitest';
import { planarCurve, resampleRing } from '../../src/geometry/curvePlanar.ts';
import type { Points2 } from '../../src/geometry/types.ts';
import { cardAlong } from '../../src/trace/photoCardAttached.ts';
import { createRandom } from '../pieces/random.ts';

/** A stone's ring of half-axes 300 and 200 px with flake scars of 6 px on its edge, its right end cut off at x = 240. */
function stone(seed: number): number[] {
  const random = createRandom(seed);
  const wild = Array.from({ length: 40 }, () => 6 * random.next());
  const from = Math.acos(240 / 300);
  return Array.from({ length: 401 }, (_, k) => {
    const t = from + ((2 * Math.PI - 2 * from) * k) / 400;
    const bite = wild[Math.floor(k / 10) % 40] * Math.abs(Math.sin((k * Math.PI) / 10));
    return [(300 - bite) * Math.cos(t), (200 - bite) * Math.sin(t)];
  }).flat();
}

/** The same with `more` places joined on at the right, turned by `angle` degrees, a point about every pixel, read to `noise` px. */
function ringOf(more: readonly number[], angle: number, noise: number): Points2 {
  const random = createRandom(5);
  const [c, s] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  const places = [...stone(3), ...more];
  const turned = Float64Array.from(places, (_, i) =>
    i % 2 === 0 ? 900 + c * places[i] - s * places[i + 1] : 900 + s * places[i - 1] + c * places[i],
  );
  const curve = planarCurve(turned);
  return resampleRing(curve, Math.round(curve.length)).map((v) => v + noise * random.normal());
}

/** A card of 90 × 180 px that lies against the cut end, and one of which the corners are off by 25°. */
const CARD = [240, -90, 330, -90, 330, 90, 240, 90];
const ASKEW = [240, -90, 330, -50, 330, 130, 240, 90];

describe('cardAlong', () => {
  it.each([0, 17, 45, 133])('tells a card that touches a stone, along its own sides, at %i°', (angle) => {
    const ring = ringOf(CARD, angle, 0.05);
    const wide = cardAlong(ring)!;
    const told = Array.from(wide.keys()).filter((i) => wide[i] > 0);
    const turn = (-angle * Math.PI) / 180;
    for (const i of told) {
      const [x, y] = [ring[2 * i] - 900, ring[2 * i + 1] - 900];
      expect(Math.cos(turn) * x - Math.sin(turn) * y).toBeGreaterThan(230);
      expect(Math.abs(wide[i] - 180)).toBeLessThan(6);
    }
    // The long side and 0.4 of it at either end.
    expect(Math.abs(told.length - 324)).toBeLessThan(12);
    // The same the other way round.
    const other = Float64Array.from(ring, (_, i) => ring[ring.length - 2 - (i & ~1) + (i & 1)]);
    expect(cardAlong(other)!.filter((v) => v > 0).length).toBe(told.length);
  });

  it('a stone with a straight break, corners that are not square, and sides that are not straight are none', () => {
    expect(cardAlong(ringOf([], 17, 0.05))).toBeUndefined();
    expect(cardAlong(ringOf(ASKEW, 17, 0.05))).toBeUndefined();
    // A stem as wide as the card with edges that wind by 2 px, as knapped ones do.
    const winding = Array.from({ length: 9 }, (_, k) => [240 + 10 * k, -90 + 2 * (k % 2)]).flat();
    const end = Array.from({ length: 18 }, (_, k) => [330 + 2 * (k % 2), -90 + 10 * k]).flat();
    expect(cardAlong(ringOf([...winding, ...end, 330, 90, 240, 90], 17, 0.05))).toBeUndefined();
  });
});
