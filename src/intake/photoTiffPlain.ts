import { TagReader } from './photoTags.ts';

/** Tags of TIFF 6.0 that a decoder needs to turn one image into pixels, and its colour profile. */
const NEEDED = new Set([
  0x100, 0x101, 0x102, 0x103, 0x106, 0x10a, 0x111, 0x115, 0x116, 0x117, 0x11c, 0x124, 0x13d, 0x140, 0x142,
  0x143, 0x144, 0x145, 0x152, 0x153, 0x15b, 0x200, 0x201, 0x202, 0x211, 0x212, 0x213, 0x214, 0x8773,
]);

/**
 * A copy of a TIFF that has one directory alone, that of `page`, with nothing in it but what decoding needs: a decoder
 * never meets directories in rings, or thousands of tags that each name the same megabytes. The image itself stays in its
 * place, the new directory comes behind it. Undefined where there is no such directory.
 */
export function plainTiff(bytes: Uint8Array, page: number): Uint8Array<ArrayBuffer> | undefined {
  const reader = new TagReader(bytes);
  const entries = reader.entries(page)?.filter(({ tag }) => NEEDED.has(tag));
  if (entries === undefined) return undefined;
  const start = bytes.length + (bytes.length % 2);
  const out = new Uint8Array(start + 2 + 12 * entries.length + 4);
  out.set(bytes);
  const view = new DataView(out.buffer);
  const little = bytes[0] === 0x49;
  view.setUint32(4, start, little);
  view.setUint16(start, entries.length, little);
  for (const [k, { at }] of entries.entries()) out.copyWithin(start + 2 + 12 * k, at, at + 12);
  return out;
}
