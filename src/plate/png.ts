import { zlibSync } from 'fflate';

const SIGNATURE = Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10);
/** Grey with opacity, 8 bits each (PNG, ISO/IEC 15948, colour type 4). */
const GREY_ALPHA = 4;
/** Red, green, blue (colour type 2). */
const RGB = 2;

/** A PNG of grey and opacity pairs, rows from the top. The same pixels give the same bytes. */
export function encodeGreyPng(pixels: Uint8Array, width: number, height: number): Uint8Array {
  const row = 2 * width;
  const raw = new Uint8Array(height * (row + 1));
  for (let y = 0; y < height; y++) {
    // Each byte less the one to its left: shaded stone changes slowly.
    raw[y * (row + 1)] = 1;
    for (let i = 0; i < row; i++) {
      raw[y * (row + 1) + 1 + i] = pixels[y * row + i] - (i < 2 ? 0 : pixels[y * row + i - 2]);
    }
  }
  const head = new Uint8Array(13);
  const view = new DataView(head.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  head.set([8, GREY_ALPHA, 0, 0, 0], 8);
  return join([
    SIGNATURE,
    chunk('IHDR', head),
    chunk('IDAT', zlibSync(raw)),
    chunk('IEND', new Uint8Array()),
  ]);
}

/** The same PNG with its resolution written in (pHYs, dots a metre), in place of any that it had. */
export function withResolution(png: Uint8Array, dpi: number): Uint8Array {
  const view = new DataView(png.buffer, png.byteOffset, png.byteLength);
  const parts = [png.subarray(0, 8)];
  for (let at = 8; at < png.length; ) {
    const size = view.getUint32(at) + 12;
    const name = String.fromCharCode(...png.subarray(at + 4, at + 8));
    if (name !== 'pHYs') parts.push(png.subarray(at, at + size));
    if (name === 'IHDR') parts.push(resolution(dpi));
    at += size;
  }
  return join(parts);
}

/** The same PNG with words about it (iTXt, UTF-8). */
export function withWords(png: Uint8Array, words: Readonly<Record<string, string>>): Uint8Array {
  const end = png.length - 12;
  return join([png.subarray(0, end), ...wordChunks(words), png.subarray(end)]);
}

/** The beginning of a PNG of red, green and blue, 8 bits each (colour type 2), with its resolution. */
export function pngHead(width: number, height: number, dpi: number): Uint8Array<ArrayBuffer> {
  const head = new Uint8Array(13);
  const view = new DataView(head.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  head.set([8, RGB], 8);
  return join([SIGNATURE, chunk('IHDR', head), resolution(dpi)]);
}

/** A stretch of packed rows. */
export const pngData = (packed: Uint8Array): Uint8Array<ArrayBuffer> => chunk('IDAT', packed);

/** The end of a PNG, with words about it. */
export function pngTail(words: Readonly<Record<string, string>>): Uint8Array<ArrayBuffer> {
  return join([...wordChunks(words), chunk('IEND', new Uint8Array())]);
}

function wordChunks(words: Readonly<Record<string, string>>): Uint8Array[] {
  return Object.entries(words).map(([key, text]) =>
    chunk('iTXt', new TextEncoder().encode(`${key}\0\0\0\0\0${text}`)),
  );
}

function resolution(dpi: number): Uint8Array {
  const data = new Uint8Array(9);
  const view = new DataView(data.buffer);
  const perMetre = Math.round(dpi / 0.0254);
  view.setUint32(0, perMetre);
  view.setUint32(4, perMetre);
  data[8] = 1;
  return chunk('pHYs', data);
}

function chunk(name: string, data: Uint8Array): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(data.length + 12);
  const view = new DataView(out.buffer);
  view.setUint32(0, data.length);
  for (let i = 0; i < 4; i++) out[4 + i] = name.charCodeAt(i);
  out.set(data, 8);
  view.setUint32(8 + data.length, crc32(out.subarray(4, 8 + data.length)));
  return out;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) c = CRC_TABLE[(c ^ bytes[i]) & 255] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

function join(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
