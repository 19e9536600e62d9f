import sharp from 'sharp';
import { expect, test } from 'vitest';
import { pngStream } from '../../src/plate/pngStream.ts';
import { createRandom } from '../pieces/random.ts';

const WIDTH = 61;
const HEIGHT = 47;

test('a PNG written in bands is, to libvips, the very dots that went in, with their resolution (seed 12)', async () => {
  const random = createRandom(12);
  const rgba = Uint8Array.from({ length: 4 * WIDTH * HEIGHT }, (_, k) =>
    k % 4 === 3 ? 255 : Math.floor(256 * random.next()),
  );
  const stream = pngStream(WIDTH, HEIGHT, 600, { Title: 'Ω <b>' });
  for (const [from, to] of [
    [0, 1],
    [1, 30],
    [30, HEIGHT],
  ])
    stream.add(rgba.subarray(4 * WIDTH * from, 4 * WIDTH * to));
  const file = Buffer.concat(stream.finish());
  const { data, info } = await sharp(file).raw().toBuffer({ resolveWithObject: true });
  expect([info.width, info.height, info.channels]).toEqual([WIDTH, HEIGHT, 3]);
  expect(data.equals(Buffer.from(rgba.filter((_, k) => k % 4 !== 3)))).toBe(true);
  expect((await sharp(file).metadata()).density).toBe(600);
  expect(file.toString('utf8')).toContain('Ω <b>');
});

test('rows that are missing are no file', () => {
  const stream = pngStream(2, 2, 300, {});
  stream.add(new Uint8Array(8));
  expect(() => stream.finish()).toThrow('1 of 2 rows');
});
