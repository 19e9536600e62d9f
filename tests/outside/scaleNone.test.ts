import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import type { Photo } from '../../src/intake/photoTypes.ts';
import { plainBar, printedBlock } from '../../src/intake/scaleBar.ts';
import { findMat } from '../../src/intake/scaleMat.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { asPhoto } from '../pieces/photo.ts';
import { askPython } from './python.ts';

/** Photographs that python3-skimage brings: brickwork, print, coins, grass, machines, a face. None shows a scale. */
const NAMES = ['brick', 'page', 'text', 'coins', 'grass', 'motorcycle_left', 'coffee', 'astronaut'];

test('no mat and no bar is seen in real pictures that show none, a chessboard among them (python3-skimage’s)', async () => {
  const { cv } = await loadOpencv();
  const folder = askPython<string>('import skimage\nprint(json.dumps(skimage.data.data_dir))', {});
  for (const name of NAMES) {
    const photo = await readPhoto(readFileSync(join(folder, `${name}.png`)), decodeInNode);
    expect(findMat(photo, DEFAULT_SCALE_SETTINGS, cv), name).toBeUndefined();
    expect(plainBar(photo, cv), name).toBeUndefined();
    expect(printedBlock(photo.reduced, cv), name).toBeUndefined();
  }
  // The finders are awake: squares in black and white by turns are what a bar is made of, a whole board of them is none.
  const board = await readPhoto(readFileSync(join(folder, 'chessboard_GRAY.png')), decodeInNode);
  expect(plainBar(board, cv)).toBeUndefined();
  expect(printedBlock(board.reduced, cv)).toBeUndefined();
  const row = rowOnWhite(board, SQUARE);
  expect(plainBar(row, cv)?.block).toBeCloseTo(SQUARE, 1);
  expect(printedBlock(row.reduced, cv)).toBeCloseTo(SQUARE, 0);
});

/** Length of the board's squares, pixels. */
const SQUARE = 25;

/** The first row of squares of a board, in the middle of a white picture. */
function rowOnWhite({ width, rgba }: Photo, square: number): Photo {
  const size = 2 * width;
  const out = new Uint8ClampedArray(4 * size * size).fill(255);
  for (let v = 0; v < square; v++) {
    out.set(rgba.subarray(4 * v * width, 4 * (v + 1) * width), 4 * ((v + width) * size + width / 2));
  }
  return asPhoto({ width: size, height: size, rgba: out });
}
