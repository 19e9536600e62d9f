import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { drawnOut, spursBeyond } from '../../src/trace/photoSpurs.ts';

const [SIDE, RADIUS] = [160, 45];

/** A disc of code 150 about the middle on black of code 30, with a spur of some width to the right and a half plane of `dark` under its lower half. */
function discWith(spur: { readonly width: number; readonly length: number }, dark = 30): Pixels {
  const rgba = new Uint8ClampedArray(4 * SIDE * SIDE);
  for (let v = 0, i = 0; v < SIDE; v++) {
    for (let u = 0; u < SIDE; u++, i += 4) {
      const [x, y] = [u - SIDE / 2, v - SIDE / 2];
      const inside =
        Math.hypot(x, y) < RADIUS || (x > 0 && x < RADIUS + spur.length && Math.abs(y) < spur.width / 2);
      // Noise of two codes either way, the same each time.
      rgba.fill((inside ? 150 : y > 0 ? dark : 30) + (((7 * u + 13 * v) % 5) - 2), i, i + 3);
    }
  }
  return { width: SIDE, height: SIDE, rgba };
}

function ring(points: number): Float64Array {
  return Float64Array.from({ length: 2 * points }, (_, i) => {
    const angle = (2 * Math.PI * (i >> 1)) / points;
    return SIDE / 2 + RADIUS * (i % 2 === 0 ? Math.cos(angle) : Math.sin(angle));
  });
}

describe('spursBeyond', () => {
  it.each([3, 5])(
    'finds a barb of %i pixels that the ring leaves out, where it is and how far it goes',
    (width) => {
      for (const turned of [false, true]) {
        const around = ring(283);
        // The other sense: points in reverse order.
        const way = turned
          ? around.map((_, i) => around[around.length - 2 * ((i >> 1) + 1) + (i & 1)])
          : around;
        const found = spursBeyond(way, discWith({ width, length: 14 }));
        expect(found).toHaveLength(1);
        expect(way[2 * found[0].at]).toBeGreaterThan(SIDE / 2 + RADIUS - 1);
        expect(Math.abs(found[0].reach - 14)).toBeLessThan(3);
      }
    },
  );

  it('is silent beside a shadow, a broad part, and where there is nothing', () => {
    expect(spursBeyond(ring(283), discWith({ width: 0, length: 0 }))).toHaveLength(0);
    expect(spursBeyond(ring(283), discWith({ width: 0, length: 0 }, 12))).toHaveLength(0);
    expect(spursBeyond(ring(283), discWith({ width: 30, length: 14 }))).toHaveLength(0);
  });
});

describe('drawnOut', () => {
  const farthest = (points: Float64Array | undefined): number =>
    Math.max(...(points ?? []).filter((_, i) => (i & 1) === 0)) - SIDE / 2 - RADIUS;

  it.each([2, 3, 5])('draws a ring out to the end of a spur of %i pixels along a direction', (width) => {
    const out = drawnOut(ring(283), [-1, 0], discWith({ width, length: 20 }));
    expect(Math.abs(farthest(out) - 20)).toBeLessThan(2.5);
    // The other end stays, and hardly anything is added beside the spur.
    expect(Math.min(...(out ?? []).filter((_, i) => (i & 1) === 0))).toBeCloseTo(SIDE / 2 - RADIUS, 1);
  });

  it('leaves a ring that nothing goes on beyond, there or along that direction', () => {
    expect(drawnOut(ring(283), [1, 0], discWith({ width: 0, length: 0 }))).toBeUndefined();
    expect(drawnOut(ring(283), [0, 1], discWith({ width: 3, length: 20 }))).toBeUndefined();
    expect(drawnOut(ring(283), [1, 0], discWith({ width: 0, length: 0 }, 12))).toBeUndefined();
  });
});
