import type { IFD } from 'utif2';
import UTIF from 'utif2';
import { plainTiff } from './photoTiffPlain.ts';
import { UNPACKED, unpackStrip } from './photoTiffUnpack.ts';
import type { PhotoHeader, Pixels } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/** Bits of a sample, by the number of samples in a pixel, that the library turns into RGBA rightly. */
const BITS: Readonly<Record<number, readonly number[]>> = { 1: [1, 8, 16], 3: [8, 16], 4: [8, 16] };
/** A palette may also be of four bits. */
const PALETTE = 3;
/** Side of a tile, pixels; common ones are 128 to 512. */
const LARGEST_TILE = 4096;

/** Pixels of a TIFF as stored (not turned), for browsers, which read none themselves. Throws an IntakeError. */
export function decodeTiff(bytes: Uint8Array, { page, width, height, alpha }: PhotoHeader): Pixels {
  let rgba: Uint8ClampedArray;
  try {
    // A copy that starts at byte 0, as the library takes it, without what the library would walk for ever.
    const plain = plainTiff(bytes, page) ?? new Uint8Array(0);
    const image = UTIF.decode(plain.buffer)[0];
    verify(image);
    UTIF.decodeImage(unpacked(plain, image), image);
    rgba = new Uint8ClampedArray(UTIF.toRGBA8(image).buffer);
  } catch (error) {
    if (error instanceof IntakeError) throw error;
    if (error instanceof RangeError && /alloc|array length|memory/i.test(error.message)) {
      throw new IntakeError('too-large', 'There is not enough memory to read a picture of this size.');
    }
    throw damaged();
  }
  // A fourth sample that is not alpha is no business of ours.
  if (!alpha) for (let i = 3; i < rgba.length; i += 4) rgba[i] = 255;
  if (rgba.length !== 4 * width * height) throw damaged();
  return { width, height, rgba };
}

function first(image: IFD, tag: string, otherwise: number): number {
  return (image[tag] as number[] | undefined)?.[0] ?? otherwise;
}

function verify(image: IFD): void {
  const samples = first(image, 't277', 1);
  const bits = first(image, 't258', 1);
  const apart = first(image, 't284', 1) !== 1 && samples > 1;
  const compression = first(image, 't259', 1);
  const known = BITS[samples]?.includes(bits) || (first(image, 't262', 1) === PALETTE && bits === 4);
  if (apart || !known || !UNPACKED.has(compression)) {
    throw new IntakeError(
      'picture-kind',
      'The TIFF picture is of a kind that browsers can’t be taught to read; save it as 8-bit RGB or as PNG.',
    );
  }
}

/**
 * The strips or tiles of an image unpacked, as a file whose `image` says so. The library's own unpacking of LZW and JPEG does
 * not end on damaged data, and that of Deflate has no bound.
 */
function unpacked(plain: Uint8Array<ArrayBuffer>, image: IFD): ArrayBuffer {
  const compression = first(image, 't259', 1);
  const tiled = image.t322 !== undefined;
  const [offsets, counts] = (tiled ? [image.t324, image.t325] : [image.t273, image.t279]) as number[][];
  const sizes = tiled ? tileSizes(image) : stripSizes(image);
  if (offsets.length !== sizes.length || counts.length !== sizes.length) throw damaged();
  const out = new Uint8Array(8 + sizes.reduce((sum, size) => sum + size, 0));
  // The byte order of wide samples is told by the first two letters.
  out.set(plain.subarray(0, 8));
  let to = 8;
  const places = sizes.map((size, i) => {
    const start = to;
    to += size;
    unpackStrip(plain.subarray(offsets[i], offsets[i] + counts[i]), compression, out.subarray(start, to));
    return start;
  });
  image.t259 = [1];
  image[tiled ? 't324' : 't273'] = places;
  image[tiled ? 't325' : 't279'] = [...sizes];
  return out.buffer;
}

/** Bytes of a row of so many pixels. */
function rowBytes(image: IFD, pixels: number): number {
  return Math.ceil((pixels * first(image, 't258', 1) * first(image, 't277', 1)) / 8);
}

function stripSizes(image: IFD): number[] {
  const height = first(image, 't257', 0);
  const rows = Math.min(first(image, 't278', height), height);
  if (!(rows > 0)) throw damaged();
  const row = rowBytes(image, first(image, 't256', 0));
  return Array.from({ length: Math.ceil(height / rows) }, (_, i) => row * Math.min(rows, height - i * rows));
}

function tileSizes(image: IFD): number[] {
  const [across, down] = [first(image, 't322', 0), first(image, 't323', 0)];
  if (!(across > 0 && down > 0 && across <= LARGEST_TILE && down <= LARGEST_TILE)) throw damaged();
  const columns = Math.ceil(first(image, 't256', 0) / across);
  const number = columns * Math.ceil(first(image, 't257', 0) / down);
  return new Array<number>(number).fill(rowBytes(image, across) * down);
}

function damaged(): IntakeError {
  return new IntakeError('broken-picture', 'The TIFF picture is damaged: it could not be decoded.');
}
