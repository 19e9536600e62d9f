import { beforeAll, describe, expect, it } from 'vitest';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { findPieces } from '../../src/trace/photoSegment.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';
import { createRandom } from '../pieces/random.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

const [WIDTH, HEIGHT] = [320, 260];
const isStone = (x: number, y: number): boolean => Math.hypot(x - 140, y - 130) < 70;
/** A hard shadow to the right of the stone. */
const isShade = (x: number, y: number): boolean => !isStone(x, y) && Math.hypot(x - 165, y - 130) < 70;

/** Share of the stone, and of its shadow, that is taken for a piece in a picture of these codes. */
function found(codeOf: (x: number, y: number, c: number) => number) {
  const rgba = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i += 4) for (let c = 0; c < 3; c++) rgba[i + c] = codeOf(x, y, c);
  }
  const { mask, lined } = findPieces(asPhoto({ width: WIDTH, height: HEIGHT, rgba }), {}, cv)!;
  const share = (inside: (x: number, y: number) => boolean): number => {
    let [all, own] = [0, 0];
    for (let i = 0; i < mask.length; i++) {
      if (!inside(i % WIDTH, Math.floor(i / WIDTH))) continue;
      all++;
      own += mask[i];
    }
    return own / all;
  };
  return { stone: share(isStone), shade: share(isShade), lined };
}

describe('findPieces', () => {
  it('takes what is darker than nearly black cloth for no stone where JPEG leaves blocks of it without colour', () => {
    const random = createRandom(6);
    const [stone, cloth] = [
      [172, 162, 140],
      [14, 12, 18],
    ];
    const light = (x: number, y: number): number =>
      Math.min(1, Math.max(0.5, (Math.hypot(x - 165, y - 130) - 40) / 50));
    const { stone: kept, shade } = found((x, y, c) => {
      if (isStone(x, y)) return stone[c] + 2 * random.normal();
      // The shadow fades over the cloth. Colour is lost by blocks of 16 pixels, where there is less of it than a step.
      const ofColour = light(x | 8, y | 8) < 0.8 ? 0 : 1;
      return (13 + ofColour * (cloth[c] - 13)) * light(x, y) + 0.45 * random.normal();
    });
    expect(kept).toBeGreaterThan(0.97);
    expect(shade).toBeLessThan(0.2);
  });

  it('leaves out the hard shadow of brown stone on ruled paper', () => {
    const random = createRandom(7);
    const [stone, paper, ink] = [
      [170, 132, 98],
      [238, 238, 232],
      [120, 150, 200],
    ];
    const {
      stone: kept,
      shade,
      lined,
    } = found((x, y, c) => {
      if (isStone(x, y)) return stone[c] + 2 * random.normal();
      const ground = y % 26 < 3 ? ink[c] : paper[c];
      return (isShade(x, y) ? 0.6 : 1) * ground + random.normal();
    });
    expect(lined).toBe(true);
    expect(kept).toBeGreaterThan(0.97);
    expect(shade).toBeLessThan(0.2);
  });
});
