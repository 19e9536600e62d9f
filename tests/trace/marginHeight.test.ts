import { describe, expect, it } from 'vitest';
import { halfWayUp, heightsByFaces, usualThickness } from '../../src/trace/marginHeight.ts';
import { createRandom } from '../pieces/random.ts';

/** A piece of size 50 as it looks on the plane, its margin `height` mm up, drawn for a margin `at` mm up. */
const looks = (camera: number, height: number, at: number) => ({
  camera: { height: camera },
  size: (50 * camera * (camera - at)) / ((camera - height) * camera),
  at,
});

describe('the height of the margin', () => {
  it('is half of the thickness, give or take a tenth of it', () => {
    expect(halfWayUp({ value: 12, u: 0, from: 'thickness' })).toEqual({
      value: 6,
      u: expect.closeTo(1.2, 12),
      from: ['thickness'],
    });
    expect(halfWayUp({ value: 12, u: 3.2, from: 'edge-on' }).u).toBeCloseTo(2, 12);
    expect(usualThickness(50)).toEqual({ value: 18, u: expect.closeTo(7, 12), from: 'width' });
  });

  it('follows from both faces at one size, by similar triangles', () => {
    const told = { value: 16, u: 0, from: 'thickness' } as const;
    const known = heightsByFaces(
      told,
      { ...looks(450, 6.4, 8), relative: 1e-5 },
      { ...looks(450, 9.6, 8), relative: 1e-5 },
    );
    expect(known?.a.value).toBeCloseTo(6.4, 1);
    expect(known?.b.value).toBeCloseTo(9.6, 1);
    expect(known?.a.u).toBeLessThan(0.01);
  });

  it('and the thickness too follow where one picture was taken from farther away', () => {
    const guessed = { value: 14, u: 5, from: 'width' } as const;
    const near = { ...looks(250, 9, 7), relative: 1e-5 };
    const even = heightsByFaces(guessed, near, { ...looks(250, 9, 7), relative: 1e-5 });
    const far = heightsByFaces(guessed, near, { ...looks(900, 9, 7), relative: 1e-5 });
    expect(even?.a.u).toBeGreaterThan(2.4);
    expect(far?.a.u).toBeLessThan(1.1);
    expect(Math.abs((far?.a.value ?? 0) - 9)).toBeLessThan(1);
  });

  it('does not follow where sizes contradict all that is known', () => {
    const told = { value: 16, u: 0, from: 'thickness' } as const;
    const a = { ...looks(450, 8, 8), relative: 1e-4 };
    expect(heightsByFaces(told, a, { ...a, size: 1.03 * a.size })).toBeUndefined();
  });

  it('is as uncertain as it says, of 4000 drawn pieces (seed 7)', () => {
    const random = createRandom(7);
    const normal = (): number => random.normal();
    let [squares, n] = [0, 0];
    for (let i = 0; i < 4000; i++) {
      const value = 14;
      const thick = value + 3 * normal();
      const more = 0.1 * value * normal();
      const size = (one: ReturnType<typeof looks>) => ({
        ...one,
        size: one.size * (1 + 0.002 * normal()),
        relative: 0.002,
      });
      const known = heightsByFaces(
        { value, u: 3, from: 'edge-on' },
        size(looks(300, thick / 2 + more, 7)),
        size(looks(600, thick / 2 - more, 7)),
      );
      if (known === undefined) continue;
      n++;
      squares += ((known.a.value - thick / 2 - more) / known.a.u) ** 2;
    }
    expect(n).toBeGreaterThan(3700);
    expect(Math.sqrt(squares / n)).toBeGreaterThan(0.93);
    expect(Math.sqrt(squares / n)).toBeLessThan(1.05);
  });
});
