import { describe, expect, it } from 'vitest';
import type { OffBackdrop } from '../../src/trace/photoBackdrop.ts';
import { evenBays } from '../../src/trace/photoEvenBays.ts';
import { createRandom } from '../pieces/random.ts';

const [WIDTH, HEIGHT] = [120, 100];
const inBay = (x: number, y: number): boolean => x > 80 && x < 100 && Math.abs(y - 50) < 8;

/** A square piece with a bay in its right side, on a backdrop of texture `rough`; the bay is `shade` darker, with `texture` of its own. */
function found(rough: number, texture: number, shade = 0): ReturnType<typeof evenBays> {
  const random = createRandom(4);
  const light = new Float32Array(WIDTH * HEIGHT);
  const mask = new Uint8Array(WIDTH * HEIGHT);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      mask[i] = x > 20 && x < 100 && y > 15 && y < 85 && !inBay(x, y) ? 1 : 0;
      light[i] = inBay(x, y) ? texture * random.normal() - shade : rough * random.normal();
    }
  }
  const off: OffBackdrop = {
    ...{ width: WIDTH, height: HEIGHT, tones: [light, light, light] },
    ...{ spread: [rough, rough, rough], rounding: [0, 0, 0], colour: 0, floor: 0 },
  };
  return evenBays(off, mask, Math.SQRT2 * rough);
}

describe('evenBays', () => {
  it('finds the bay in which the texture of the backdrop is missing', () => {
    const { cells, mouths } = found(0.15, 0.02);
    expect(cells.length).toBeGreaterThan(200);
    for (const cell of cells) expect(inBay(cell % WIDTH, Math.floor(cell / WIDTH))).toBe(true);
    for (const { x, y, wide } of mouths) {
      expect(x).toBeGreaterThanOrEqual(93);
      expect(Math.abs(y - 50)).toBeLessThan(8);
      expect(wide).toBe(mouths.length);
    }
    expect(mouths.length).toBeGreaterThan(10);
  });

  it.each([
    ['a bay that shows the backdrop', 0.15, 0.15, 0],
    ['one in shadow', 0.15, 0.15, 1.2],
    ['any on an even backdrop', 0.02, 0.002, 0],
  ])('leaves %s', (_, rough, texture, shade) => {
    expect(found(rough, texture, shade)).toEqual({ cells: [], mouths: [] });
  });
});
