import { beforeAll, describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { reduce } from '../../src/intake/photoRead.ts';
import { straightLines } from '../../src/trace/photoLines.ts';
import { piecesOfPhoto } from '../../src/trace/photoPieces.ts';
import { unlined } from '../../src/trace/photoUnlined.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';
import { createRandom } from '../pieces/random.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

const [WIDTH, HEIGHT] = [1200, 900];
const CLOTH = [38, 62, 104];
/** A notched point, pixels: its notch opens on one side of a grid line. */
const POINT = [300, 460, 640, 300, 900, 330, 800, 430, 915, 520, 640, 560];
/** Area of POINT by the shoelace formula. */
const AREA = 94_175;

/**
 * A cutting mat: lines `wide` pixels across (1 standard deviation of a bell) every 90 pixels, turned by `turn` radians, with a stone on it. Codes
 * of the mat without its lines, and of all.
 */
function matOf(turn: number, wide: number, stone: readonly number[], polygon: readonly number[]) {
  const random = createRandom(4);
  const inside = maskInside([Float64Array.from(polygon)], {
    x0: 0,
    y0: 0,
    cell: 1,
    columns: WIDTH,
    rows: HEIGHT,
  });
  const bare = new Uint8ClampedArray(4 * WIDTH * HEIGHT).fill(255);
  const rgba = bare.slice();
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const line = (at: number): number => {
    const off = at - 90 * Math.round(at / 90);
    return Math.exp(-(off * off) / (2 * wide * wide));
  };
  for (let y = 0, i = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++, i++) {
      const printed = Math.max(line(c * x + s * y), line(c * y - s * x));
      for (let k = 0; k < 3; k++) {
        const noise = random.normal();
        const code = inside[i] === 1 ? stone[k] + 10 * Math.sin(x / 9) : CLOTH[k];
        bare[4 * i + k] = code + noise;
        rgba[4 * i + k] = code + noise + (inside[i] === 1 ? 0 : printed * (110 - 15 * k));
      }
    }
  }
  return { bare, photo: asPhoto({ width: WIDTH, height: HEIGHT, rgba }), inside };
}

describe('straightLines', () => {
  it('finds each line of a grid within a pixel, and none in noise', () => {
    const { photo, bare } = matOf(0.03, 2, CLOTH, []);
    const lines = straightLines(reduce(photo, 2), cv);
    const places = new Set<string>();
    for (const [x0, y0, x1, y1] of lines) {
      const [c, s] = [Math.cos(0.03), Math.sin(0.03)];
      const across = Math.abs(x1 - x0) > Math.abs(y1 - y0);
      for (const [x, y] of [
        [2 * x0 + 0.5, 2 * y0 + 0.5],
        [2 * x1 + 0.5, 2 * y1 + 0.5],
      ]) {
        const at = (across ? c * y - s * x : c * x + s * y) / 90;
        expect(Math.abs(at - Math.round(at)) * 90).toBeLessThan(4);
        places.add(`${across}${Math.round(at)}`);
      }
    }
    expect(places.size).toBeGreaterThan(18);
    expect(straightLines(reduce({ width: WIDTH, height: HEIGHT, rgba: bare }, 2), cv)).toEqual([]);
  });
});

describe('unlined', () => {
  it.each([
    [0, 1.2],
    [0.03, 2],
    [0.2, 2.5],
  ])('takes a grid turned by %s rad, lines of %s px, off to a few codes', (turn, wide) => {
    const { bare, photo } = matOf(turn, wide, CLOTH, []);
    const grid = reduce(photo, 4);
    const plain = unlined(photo, grid, new Uint8Array(grid.width * grid.height), cv)!;
    let [before, after, far] = [0, 0, 0];
    // Without the rim, where a line has no room for its profile.
    for (let y = 40; y < HEIGHT - 40; y++) {
      for (let x = 40; x < WIDTH - 40; x++) {
        const i = 4 * (y * WIDTH + x);
        before += (photo.rgba[i] - bare[i]) ** 2;
        const off = plain.rgba[i] - bare[i];
        after += off ** 2;
        if (Math.abs(off) > 12) far++;
      }
    }
    expect(after).toBeLessThan(0.02 * before);
    expect(far / (WIDTH * HEIGHT)).toBeLessThan(0.008);
  });

  it('leaves a picture without lines alone', () => {
    const { bare } = matOf(0, 2, [120, 90, 60], POINT);
    const photo = asPhoto({ width: WIDTH, height: HEIGHT, rgba: bare });
    const grid = reduce(photo, 4);
    expect(unlined(photo, grid, new Uint8Array(grid.width * grid.height), cv)).toBeUndefined();
  });

  it.each([
    ['brown', 0.2, [150, 110, 70]],
    ['brown', 0.35, [150, 110, 70]],
    ['pale', 0.03, [196, 186, 176]],
  ] as const)(
    'a %s point on a mat turned by %s rad has the area that was drawn, within 0.5 %%',
    (_, turn, stone) => {
      const { photo } = matOf(turn, 2, stone, POINT);
      const [piece] = piecesOfPhoto(photo, {}, cv);
      expect(piece.kind).toBe('piece');
      expect(Math.abs(piece.area / AREA - 1)).toBeLessThan(0.005);
    },
  );
});
