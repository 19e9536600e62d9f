import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { plainBar } from '../../src/intake/scaleBar.ts';
import { findMat } from '../../src/intake/scaleMat.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { askPython } from './python.ts';

/** Photographs that python3-skimage brings: brickwork, print, coins, grass, machines, a face. None shows a scale. */
const NAMES = ['brick', 'page', 'text', 'coins', 'grass', 'motorcycle_left', 'coffee', 'astronaut'];

test('no mat and no bar is seen in real photographs that show none (python3-skimage’s pictures)', async () => {
  const { cv } = await loadOpencv();
  const folder = askPython<string>('import skimage\nprint(json.dumps(skimage.data.data_dir))', {});
  for (const name of NAMES) {
    const photo = await readPhoto(readFileSync(join(folder, `${name}.png`)), decodeInNode);
    expect(findMat(photo, DEFAULT_SCALE_SETTINGS, cv), name).toBeUndefined();
    expect(plainBar(photo, cv), name).toBeUndefined();
  }
  // The finders are awake: squares in black and white by turns are what a bar is made of.
  const board = await readPhoto(readFileSync(join(folder, 'chessboard_GRAY.png')), decodeInNode);
  expect(plainBar(board, cv)?.block).toBeCloseTo(25, 1);
});
