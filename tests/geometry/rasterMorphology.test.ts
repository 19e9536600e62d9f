import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { closed, dilated, eroded, opened } from '../../src/geometry/rasterMorphology.ts';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { createRandom } from '../pieces/random.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

const masks = fc.integer({ min: 1, max: 14 }).chain((columns) =>
  fc.record({
    columns: fc.constant(columns),
    mask: fc
      .integer({ min: 1, max: 12 })
      .chain((rows) =>
        fc.array(fc.integer({ min: 0, max: 1 }), { minLength: rows * columns, maxLength: rows * columns }),
      )
      .map((cells) => Uint8Array.from(cells)),
    side: fc.constantFrom(1, 3, 5, 9),
  }),
);

/** Whether one of the cells of a square about a cell, as far as the mask goes, has a value. */
function holds(mask: Uint8Array, columns: number, cell: number, side: number, value: number): boolean {
  const reach = side >> 1;
  const [x, y] = [cell % columns, Math.floor(cell / columns)];
  for (let v = Math.max(0, y - reach); v <= Math.min(mask.length / columns - 1, y + reach); v++) {
    for (let u = Math.max(0, x - reach); u <= Math.min(columns - 1, x + reach); u++) {
      if (mask[v * columns + u] === value) return true;
    }
  }
  return false;
}

describe('masks changed by squares', () => {
  test('are what looking at every cell of every square gives', () => {
    fc.assert(
      fc.property(masks, ({ mask, columns, side }) => {
        const before = mask.slice();
        const grow = (of: Uint8Array) => of.map((_, k) => (holds(of, columns, k, side, 1) ? 1 : 0));
        const shrink = (of: Uint8Array) => of.map((_, k) => (holds(of, columns, k, side, 0) ? 0 : 1));
        expect(dilated(mask, columns, side)).toEqual(grow(mask));
        expect(eroded(mask, columns, side)).toEqual(shrink(mask));
        expect(opened(mask, columns, side)).toEqual(grow(shrink(mask)));
        expect(closed(mask, columns, side)).toEqual(shrink(grow(mask)));
        expect(mask).toEqual(before);
      }),
    );
  });

  test.each([64, 61, 62, 63])('are what OpenCV makes of them, %i cells wide', (columns) => {
    const random = createRandom(columns);
    const rows = 40;
    const mask = Uint8Array.from({ length: columns * rows }, () => (random.next() < 0.6 ? 1 : 0));
    const ways = {
      MORPH_ERODE: eroded,
      MORPH_DILATE: dilated,
      MORPH_OPEN: opened,
      MORPH_CLOSE: closed,
    } as const;
    for (const side of [3, 5, 11]) {
      for (const [how, ours] of Object.entries(ways)) {
        const mat = new cv.Mat(rows, columns, cv.CV_8UC1);
        const square = cv.getStructuringElement(cv.MORPH_RECT, new cv.Size(side, side));
        try {
          mat.data.set(mask);
          cv.morphologyEx(mat, mat, cv[how as keyof typeof ways], square);
          expect(ours(mask, columns, side)).toEqual(mat.data.slice());
        } finally {
          mat.delete();
          square.delete();
        }
      }
    }
  });
});
