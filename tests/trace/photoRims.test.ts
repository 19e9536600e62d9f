import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { tonesOf } from '../../src/trace/photoBackdrop.ts';
import { purest, setRight } from '../../src/trace/photoRims.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [160, 120];
const BACK = 120;

/** A grey grid of codes with noise of one code; seeded. */
function gridOf(code: (u: number, v: number, random: () => number) => number): Pixels {
  const random = createRandom(1);
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT);
  for (let v = 0, i = 0; v < HEIGHT; v++) {
    for (let u = 0; u < WIDTH; u++, i += 4) {
      rgba.fill(code(u, v, () => random.normal()) + random.normal(), i, i + 3);
    }
  }
  return { width: WIDTH, height: HEIGHT, rgba };
}

function cells(inside: (u: number, v: number) => boolean): Uint8Array {
  return Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
    inside(i % WIDTH, Math.floor(i / WIDTH)) ? 1 : 0,
  );
}

/** Set right on a backdrop of one code. */
function right(grid: Pixels, mask: Uint8Array, bare: Uint8Array = new Uint8Array(mask.length), colour = 0) {
  const { tones, ...size } = tonesOf(grid);
  const back = tonesOf({ width: 1, height: 1, rgba: Uint8ClampedArray.of(BACK, BACK, BACK, 255) }).tones;
  const off = tones.map((tone, t) => tone.map((v) => v - back[t][0])) as unknown as typeof tones;
  return setRight(
    {
      ...{ ...size, tones: off, spread: [0.02, 0.012, 0.012], rounding: [0.01, 0.01, 0.01] },
      ...{ colour, floor: 0 },
    },
    grid,
    mask,
    mask,
    bare,
  );
}

const share = (mask: Uint8Array, of: Uint8Array): number =>
  of.reduce((sum, one, i) => sum + (one & mask[i]), 0) / of.reduce((sum, one) => sum + one, 0);

const disc = (u: number, v: number): boolean => Math.hypot(u - 80, v - 60) < 35;
const left = cells((u, v) => disc(u, v) && u < 85);
const rest = cells((u, v) => Math.hypot(u - 80, v - 60) < 33 && u >= 87);

describe('setRight', () => {
  it('takes a darker rough facet that a sharp edge closes in with the stone for stone, for good', () => {
    const grid = gridOf((u, v, random) => (!disc(u, v) ? BACK : u < 85 ? 180 : 85 + 12 * random()));
    const { mask, firm, hem } = right(grid, left);
    expect(share(mask, rest)).toBeGreaterThan(0.98);
    expect(share(firm!, rest)).toBeGreaterThan(0.9);
    expect(hem).toBeUndefined();
  });

  it('leaves out what is as even as a shadow behind a sharp edge, and says that it may be stone', () => {
    const grid = gridOf((u, v) => (!disc(u, v) ? BACK : u < 85 ? 180 : 85));
    const { mask, hem } = right(grid, left);
    expect(share(mask, rest)).toBe(0);
    expect(hem!.filter((width) => width > 5).length).toBeGreaterThan(1000);
  });

  it('takes what fades into dark stone for a glint of it', () => {
    const glint = (u: number): number => Math.min(95, 30 + 6 * Math.max(0, u - 80));
    const grid = gridOf((u, v) => (disc(u, v) ? glint(u) : BACK));
    expect(share(right(grid, left).mask, rest)).toBeGreaterThan(0.98);
  });

  it('leaves a narrow notch open in which there is shadow', () => {
    const notch = (u: number, v: number): boolean => Math.abs(v - 60) < 3 && u > 96;
    // The shadow is deepest at the notch's end. A thing beside the piece has sharp edges, too.
    const thing = (u: number, v: number): boolean => u > 10 && u < 25 && v > 10 && v < 25;
    const grid = gridOf((u, v) =>
      thing(u, v) ? 60 : !disc(u, v) ? BACK : notch(u, v) ? BACK - 4 * (115 - u) : 180,
    );
    const stone = cells((u, v) => disc(u, v) && !notch(u, v));
    expect(
      share(
        right(grid, stone).mask,
        cells((u, v) => disc(u, v) && notch(u, v)),
      ),
    ).toBeLessThan(0.1);
  });

  it('leaves open what is of a coloured backdrop’s own colour, however an edge closes it in', () => {
    // As rough as a facet: on a grey backdrop it would be one.
    const grid = gridOf((u, v, random) => (!disc(u, v) ? BACK : u < 85 ? 180 : 85 + 12 * random()));
    const bare = cells((u, v) => disc(u, v) && u >= 85);
    expect(share(right(grid, left, bare, 0.8).mask, rest)).toBe(0);
    expect(share(right(grid, left, bare, 0.1).mask, rest)).toBeGreaterThan(0.98);
  });

  it('leaves a bay open that no edge closes, and a mask that has its edges as it is', () => {
    const grid = gridOf((u, v) => (disc(u, v) && u < 85 ? 180 : BACK));
    expect(right(grid, left).mask).toEqual(left);
  });
});

describe('purest', () => {
  const notch = (wide: number): number[] =>
    Array.from({ length: 10 * wide }, (_, k) => (20 + Math.floor(k / wide)) * WIDTH + 70 + (k % wide));
  const stoneAbout = (wide: number): Uint8Array =>
    cells((u, v) => v >= 20 && v < 40 && !(v < 30 && u >= 70 && u < 70 + wide));

  it('of a notch leaves out the cells along its sides and at its end, which are a little of the stone', () => {
    const pure = purest(notch(5), stoneAbout(5), WIDTH);
    // Three columns of five, nine rows of ten.
    expect(pure.map((cell) => cell % WIDTH).filter((u) => u < 71 || u > 73)).toEqual([]);
    expect(pure.length).toBe(27);
  });

  it('of one that is two cells wide takes all', () => {
    expect(purest(notch(2), stoneAbout(2), WIDTH)).toEqual(notch(2));
  });
});
