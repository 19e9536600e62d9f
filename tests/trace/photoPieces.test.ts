import { beforeAll, describe, expect, it } from 'vitest';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { piecesOfPhoto } from '../../src/trace/photoPieces.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';
import { createRandom } from '../pieces/random.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

type Colour = readonly [number, number, number];

/** What is found of a polygon of one colour on a backdrop of another, noise of one code. */
function foundOf(polygon: readonly number[], stone: Colour, backdrop: Colour) {
  const [width, height] = [420, 320];
  const random = createRandom(2);
  const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
  const inside = maskInside([Float64Array.from(polygon)], grid);
  const rgba = new Uint8ClampedArray(4 * width * height).fill(255);
  for (let v = 0, i = 0; v < height; v++) {
    for (let u = 0; u < width; u++, i += 4) {
      const colour = inside[i >> 2] === 1 ? stone : backdrop;
      for (let c = 0; c < 3; c++) rgba[i + c] = colour[c] + random.normal();
    }
  }
  return piecesOfPhoto(asPhoto({ width, height, rgba }), {}, cv);
}

const [WHITE, GREY, BLACK]: readonly Colour[] = [
  [236, 236, 234],
  [90, 88, 84],
  [50, 48, 47],
];
const POINT = [60, 160, 330, 90, 342, 160, 330, 230];

describe('piecesOfPhoto', () => {
  it.each([
    ['a point with a blunt base', 'piece', POINT],
    ['a point whose end is broken off', 'piece', [60, 140, 330, 90, 330, 230, 60, 180]],
    ['a rhomb', 'piece', [60, 160, 210, 110, 360, 160, 210, 210]],
    ['a label that lies askew', 'card', [60, 110, 340, 90, 347, 190, 67, 210]],
    ['a label over which the camera leans', 'card', [80, 100, 320, 112, 320, 196, 80, 208]],
  ] as const)('%s is a %s', (_, kind, polygon) => {
    const found = foundOf(polygon, GREY, WHITE);
    expect(found.map((piece) => piece.kind)).toEqual([kind]);
  });

  it('sees the whole rim of dark stone on red cloth, and refuses to on black', () => {
    const [red] = foundOf(POINT, BLACK, [132, 36, 42]);
    expect(red.found).toBeGreaterThan(0.98);
    for (const { found } of foundOf(POINT, [30, 29, 28], [18, 18, 20])) expect(found).toBeLessThan(0.1);
  });
});
