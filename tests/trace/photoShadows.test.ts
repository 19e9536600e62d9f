import { describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/intake/photoTypes.ts';
import { tonesOf } from '../../src/trace/photoBackdrop.ts';
import { withoutShadows } from '../../src/trace/photoShadows.ts';
import { createRandom } from '../pieces/random.ts';

type Colour = readonly [number, number, number];

const [WIDTH, HEIGHT] = [160, 120];
const BACK: Colour = [130, 130, 132];
/** What a line of graph paper leaves of the codes. */
const INK = [1, 0.8, 0.7];
/** A stone, and its shadow to the right. */
const isStone = (u: number, v: number): boolean => Math.hypot(u - 70, v - 60) < 35;
const isShade = (u: number, v: number): boolean => !isStone(u, v) && Math.hypot(u - 82, v - 60) < 35;

/**
 * Shadows taken out of a mask of stone and shadow on grey; specks that take a share `patches` of the
 * stone, or a band across it, have the colour of the shadow; thin lines of another colour cross all but the stone where `ruled`.
 */
function unshadowed(stone: Colour, shade: Colour, patches = 0, banded = false, ruled = false) {
  const random = createRandom(3);
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let v = 0, i = 0; v < HEIGHT; v++) {
    for (let u = 0; u < WIDTH; u++, i += 4) {
      const patch = isStone(u, v) && ((u >> 1) * 7 + (v >> 1) * 11) % 20 < 20 * patches;
      const band = banded && isStone(u, v) && u > 50 && u < 58;
      const colour = isStone(u, v) && !patch && !band ? stone : isShade(u, v) || patch || band ? shade : BACK;
      const line = ruled && !isStone(u, v) && (u % 12 === 0 || v % 12 === 0);
      const ink = line ? INK : [1, 1, 1];
      for (let c = 0; c < 3; c++) rgba[i + c] = colour[c] * ink[c] + random.normal();
    }
  }
  const grid: Pixels = { width: WIDTH, height: HEIGHT, rgba };
  const { tones, ...size } = tonesOf(grid);
  const back = tonesOf({ width: 1, height: 1, rgba: Uint8ClampedArray.of(...BACK, 255) }).tones;
  const off = tones.map((tone, t) => tone.map((v) => v - back[t][0])) as unknown as typeof tones;
  const cells = (inside: (u: number, v: number) => boolean): Uint8Array =>
    Uint8Array.from({ length: WIDTH * HEIGHT }, (_, i) => (inside(i % WIDTH, Math.floor(i / WIDTH)) ? 1 : 0));
  const mask = cells((u, v) => isStone(u, v) || isShade(u, v));
  const sure = new Uint8Array(mask.length);
  const all = {
    ...size,
    tones: off,
    spread: [0.02, 0.012, 0.012] as const,
    rounding: [0.01, 0.01, 0.01] as const,
    colour: 0,
    floor: 0,
  };
  const found = withoutShadows(all, grid, mask, sure);
  const count = (of: Uint8Array): number => of.reduce((sum, one) => sum + one, 0);
  const share = (of: Uint8Array): number => count(of.map((one, i) => one & found.mask[i])) / count(of);
  const part = cells(isShade);
  return {
    stone: share(cells(isStone)),
    kept: share(part),
    /** Share of the shadow that is left in and said to be doubtful. */
    doubted: count(part.map((one, i) => (one === 1 && (found.shade?.[i] ?? 0) > 0 ? 1 : 0))) / count(part),
    hem: found.hem,
  };
}

describe('withoutShadows', () => {
  it('takes a hard shadow on grey from brown stone, and tells what was left out', () => {
    const { stone, kept, hem } = unshadowed([120, 90, 60], [75, 75, 76]);
    expect(stone).toBeGreaterThan(0.99);
    expect(kept).toBeLessThan(0.05);
    expect(hem!.some((wide) => wide > 3)).toBe(true);
  });

  it('leaves a darker part of grey stone where it is: light alone tells no shadow', () => {
    const { stone, kept, doubted } = unshadowed([160, 160, 162], [75, 75, 76]);
    expect(stone + kept).toBe(2);
    expect(doubted).toBe(0);
  });

  it('leaves a band that runs across the stone', () => {
    const { stone } = unshadowed([120, 90, 60], [75, 75, 76], 0, true);
    expect(stone).toBeGreaterThan(0.99);
  });

  it('takes one on graph paper, whose lines part it into squares', () => {
    const { stone, kept } = unshadowed([120, 90, 60], [75, 75, 76], 0, false, true);
    expect(stone).toBeGreaterThan(0.99);
    // The lines themselves are of no shadow's colour.
    expect(kept).toBeLessThan(0.3);
  });

  it('leaves it, and says that it may be shadow, where some of the stone is of that colour as well', () => {
    const found = unshadowed([120, 90, 60], [75, 75, 76], 0.35);
    expect(found.kept).toBe(1);
    expect(found.doubted).toBeGreaterThan(0.8);
    expect(found.hem).toBeUndefined();
  });
});
