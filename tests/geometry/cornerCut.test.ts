import { describe, expect, test } from 'vitest';
import { cutBeyond } from '../../src/geometry/cornerCut.ts';

/** A tip of the given angle in degrees at (0, 0), pointing up, sampled along its sides `step` apart from `first` on. */
function tip(angle: number, step: number, first: readonly [number, number], apex: boolean): Float64Array {
  const lean = (angle * Math.PI) / 360;
  const side = (way: number, from: number): number[][] =>
    Array.from({ length: 6 }, (_, k) => {
      const s = from + k * step;
      return [way * s * Math.sin(lean), -s * Math.cos(lean)];
    });
  const right = side(1, first[0]).reverse();
  const left = side(-1, first[1]);
  return Float64Array.from([...right, ...(apex ? [[0, 0]] : []), ...left].flat());
}

const highest = (ring: Float64Array): number => {
  let at = 0;
  for (let i = 0; i < ring.length; i += 2) if (ring[i + 1] > ring[2 * at + 1]) at = i / 2;
  return at;
};

describe('cutBeyond', () => {
  test.each([40, 60, 90, 140])(
    'a corner of %s° between two points reaches as far as its sides meet',
    (angle) => {
      for (const first of [
        [0.3, 0.3],
        [0.1, 0.4],
        [0.35, 0.2],
      ] as const) {
        const ring = tip(angle, 0.5, first, false);
        const at = highest(ring);
        expect(cutBeyond(ring, at, 0, 1)).toBeCloseTo(-ring[2 * at + 1], 9);
      }
    },
  );
  test.each([20, 60, 90, 140])('a corner of %s° that is a point loses nothing', (angle) => {
    const ring = tip(angle, 0.5, [0.5, 0.5], true);
    expect(cutBeyond(ring, highest(ring), 0, 1)).toBeLessThan(1e-12);
  });
  test('of an arc, about what it misses on average, however its points lie', () => {
    const radius = 10;
    for (const turn of [0.02, 0.06, 0.2]) {
      let missed = 0;
      let told = 0;
      for (let k = 0; k < 40; k++) {
        const ring = Float64Array.from(
          Array.from({ length: 40 }, (_, i) => {
            const angle = Math.PI / 2 + (i - 20 + k / 40) * turn;
            return [radius * Math.cos(angle), radius * Math.sin(angle)];
          }).flat(),
        );
        const at = highest(ring.subarray(0, 80));
        missed += (radius - ring[2 * at + 1]) ** 2;
        told += cutBeyond(ring, at, 0, 1) ** 2;
      }
      expect(Math.sqrt(told / missed)).toBeGreaterThan(0.8);
      expect(Math.sqrt(told / missed)).toBeLessThan(1.5);
    }
  });
  test('a straight base has nothing beyond it', () => {
    const ring = Float64Array.from([0, 0, 1, 0, 2, 0, 3, 0, 4, 0, 4, 3, 0, 3]);
    expect(cutBeyond(ring, 2, 0, -1)).toBe(0);
  });
  test('size and the sense of the ring change nothing but the length', () => {
    const ring = tip(70, 0.5, [0.1, 0.4], false);
    const cut = cutBeyond(ring, highest(ring), 0, 1);
    const large = ring.map((v) => 1000 * v);
    expect(cutBeyond(large, highest(large), 0, 1)).toBeCloseTo(1000 * cut, 6);
    const back = Float64Array.from(
      { length: ring.length },
      (_, i) => ring[ring.length - 2 - 2 * (i >> 1) + (i % 2)],
    );
    expect(cutBeyond(back, highest(back), 0, 1)).toBeCloseTo(cut, 12);
  });
});
