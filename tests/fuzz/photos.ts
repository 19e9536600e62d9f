import { deflateSync } from 'node:zlib';
import sharp, { type TiffOptions } from 'sharp';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { decodeTiff } from '../../src/intake/photoTiffDecode.ts';
import type { PhotoDecoder } from '../../src/intake/photoTypes.ts';
import { randomOf } from './mutate.ts';
import { findUnsound, type Subject } from './subject.ts';

/** Far below what is read at home, so that a picture over the limit is small enough to make. */
const LIMITS = { pixels: 4e6, side: 8000, reducedPixels: 1e6 };
const SIDE = 24;

const random = randomOf(5);
const RAW = Uint8Array.from({ length: 4 * SIDE * SIDE }, (_, i) =>
  i % 4 === 3 ? 255 * (i % 8 === 3 ? 1 : 0) : 256 * random(),
);

function picture(format: 'jpeg' | 'png' | 'webp', channels: 3 | 4): Promise<Uint8Array> {
  const shape = sharp(RAW.subarray(0, channels * SIDE * SIDE), {
    raw: { width: SIDE, height: SIDE, channels },
  });
  const tagged = shape.withMetadata({ density: 300, orientation: 6 });
  return tagged.toFormat(format, format === 'webp' ? { lossless: channels === 4 } : {}).toBuffer();
}

function tiff(
  compression: 'lzw' | 'none' | 'deflate' | 'packbits' | 'jpeg',
  options: TiffOptions = {},
): Promise<Uint8Array> {
  const shape = sharp(RAW.subarray(0, 3 * SIDE * SIDE), { raw: { width: SIDE, height: SIDE, channels: 3 } });
  return shape
    .withMetadata({ density: 300 })
    .tiff({ compression, ...options })
    .toBuffer();
}

const reader = (decoder: PhotoDecoder) => async (bytes: Uint8Array) => {
  const photo = await readPhoto(bytes, decoder, LIMITS);
  const { rgba, reduced, ...facts } = photo;
  const unsound = findUnsound(facts);
  if (unsound !== undefined) throw new Error(`unsound: ${unsound}`);
  if (rgba.length !== 4 * photo.width * photo.height) throw new Error('unsound: pixels and size differ');
  if (reduced.rgba.length !== 4 * reduced.width * reduced.height) throw new Error('unsound: reduced pixels');
};

const inNode = reader(decodeInNode);
/** The decoder of TIFF that browsers use. */
const asInBrowsers = reader(async (bytes, header) => decodeTiff(bytes, header));

export async function photoSubjects(): Promise<readonly Subject[]> {
  const tiffs = await Promise.all([
    tiff('none'),
    tiff('lzw'),
    tiff('packbits'),
    tiff('deflate', { tile: true, tileWidth: 16, tileHeight: 16 }),
  ]);
  return [
    {
      name: 'jpeg',
      good: [await picture('jpeg', 3)],
      text: false,
      hostile: () => [['a frame of 65 500 × 65 500', biggerJpeg(jpegOf)]],
      read: inNode,
    },
    {
      name: 'png',
      good: await Promise.all([picture('png', 3), picture('png', 4)]),
      text: false,
      hostile: hostilePng,
      read: inNode,
    },
    {
      name: 'webp',
      good: await Promise.all([picture('webp', 3), picture('webp', 4)]),
      text: false,
      hostile: () => [],
      read: inNode,
    },
    { name: 'tiff', good: [...tiffs, await tiff('jpeg')], text: false, hostile: hostileTiff, read: inNode },
    { name: 'tiff-browser', good: tiffs, text: false, hostile: hostileTiff, read: asInBrowsers },
  ];

  function biggerJpeg(bytes: Uint8Array): Uint8Array {
    const out = bytes.slice();
    for (let i = 0; i + 8 < out.length; i++) {
      if (out[i] === 0xff && out[i + 1] === 0xc0) out.set([0xff, 0xdc, 0xff, 0xdc], i + 5);
    }
    return out;
  }
}

const jpegOf = await picture('jpeg', 3);

/** A chunk of PNG with its sum. */
function chunk(name: string, body: Uint8Array): Uint8Array {
  const out = new Uint8Array(12 + body.length);
  const view = new DataView(out.buffer);
  view.setUint32(0, body.length);
  out.set(new TextEncoder().encode(name), 4);
  out.set(body, 8);
  view.setUint32(8 + body.length, crc(out.subarray(4, 8 + body.length)));
  return out;
}

function crc(bytes: Uint8Array): number {
  let sum = -1;
  for (const byte of bytes) {
    sum ^= byte;
    for (let k = 0; k < 8; k++) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return ~sum >>> 0;
}

function png(width: number, height: number, ...chunks: Uint8Array[]): Uint8Array {
  const head = new Uint8Array(13);
  const view = new DataView(head.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  head.set([8, 2, 0, 0, 0], 8);
  const signature = Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10);
  return Buffer.concat([signature, chunk('IHDR', head), ...chunks, chunk('IEND', new Uint8Array(0))]);
}

function hostilePng(): readonly (readonly [string, Uint8Array])[] {
  const zeros = deflateSync(new Uint8Array(60_000_000), { level: 9 });
  const words = (text: string): Uint8Array => new TextEncoder().encode(text);
  const pixels = chunk('IDAT', deflateSync(new Uint8Array(8 * 25)));
  return [
    ['60 MB of pixels for a picture of 8 × 8', png(8, 8, chunk('IDAT', zeros))],
    ['60 MB of zeros where one picture of 5000 × 5000 is', png(5000, 5000, chunk('IDAT', zeros))],
    ['a colour profile of 60 MB', png(8, 8, chunk('iCCP', Buffer.concat([words('a\0\0'), zeros])), pixels)],
    ['a text of 60 MB', png(8, 8, chunk('zTXt', Buffer.concat([words('Comment\0\0'), zeros])), pixels)],
    ['two headers', png(8, 8, chunk('IHDR', Uint8Array.of(0, 0, 0, 4, 0, 0, 0, 4, 8, 2, 0, 0, 0)), pixels)],
    ['100 000 empty chunks', png(8, 8, Buffer.concat(Array.from({ length: 100_000 }, () => EMPTY)), pixels)],
  ];
}

const EMPTY = chunk('teXt', new Uint8Array(0));

/** Directories of TIFF: entries of [tag, type, count, value]. */
function tiffOf(entries: readonly (readonly [number, number, number, number])[], length: number): Uint8Array {
  const out = new Uint8Array(Math.max(length, 8 + 2 + 12 * entries.length + 4));
  const view = new DataView(out.buffer);
  out.set([0x49, 0x49, 42, 0]);
  view.setUint32(4, 8, true);
  view.setUint16(8, entries.length, true);
  entries.forEach(([tag, type, count, value], k) => {
    const at = 10 + 12 * k;
    view.setUint16(at, tag, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, count, true);
    if (type === 3 && count === 1) view.setUint16(at + 8, value, true);
    else view.setUint32(at + 8, value, true);
  });
  return out;
}

function hostileTiff(): readonly (readonly [string, Uint8Array])[] {
  const plain = (width: number, height: number) =>
    [
      [256, 4, 1, width],
      [257, 4, 1, height],
      [258, 3, 1, 8],
      [259, 3, 1, 1],
      [262, 3, 1, 1],
      [273, 4, 1, 200],
      [277, 3, 1, 1],
      [278, 4, 1, height],
      [279, 4, 1, 64],
    ] as const;
  const many = Array.from({ length: 3000 }, (_, k) => [1000 + k, 1, 1_900_000, 0] as const);
  return [
    ['3000 tags over the same 2 MB', tiffOf([...plain(8, 8), ...many], 1_950_000)],
    ['one strip for 2000 × 2000', tiffOf(plain(2000, 2000), 400)],
    ['4 billion wide', tiffOf(plain(0xffffffff, 1), 400)],
    ['a tag of 4 billion values', tiffOf([...plain(8, 8), [300, 4, 0xffffffff, 8]], 400)],
    ['a directory that follows itself', selfFollowing()],
  ];

  function selfFollowing(): Uint8Array {
    const out = tiffOf(plain(8, 8), 400);
    new DataView(out.buffer).setUint32(10 + 12 * plain(8, 8).length, 8, true);
    return out;
  }
}
