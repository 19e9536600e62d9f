import type { IFD } from 'utif2';
import UTIF from 'utif2';
import { plainTiff } from './photoTiffPlain.ts';
import type { PhotoHeader, Pixels } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/** Bits of a sample, by the number of samples in a pixel, that the library turns into RGBA rightly. */
const BITS: Readonly<Record<number, readonly number[]>> = { 1: [1, 8, 16], 3: [8, 16], 4: [8, 16] };
/** A palette may also be of four bits. */
const PALETTE = 3;

/** Pixels of a TIFF as stored (not turned), for browsers, which read none themselves. Throws an IntakeError. */
export function decodeTiff(bytes: Uint8Array, { page, width, height, alpha }: PhotoHeader): Pixels {
  let image: IFD;
  let rgba: Uint8ClampedArray;
  try {
    // A copy that starts at byte 0, as the library takes it. The library walks rings of directories without end.
    const buffer = plainTiff(bytes, page)?.buffer ?? new ArrayBuffer(0);
    image = UTIF.decode(buffer)[0];
    verify(image);
    UTIF.decodeImage(buffer, image);
    rgba = new Uint8ClampedArray(UTIF.toRGBA8(image).buffer);
  } catch (error) {
    if (error instanceof IntakeError) throw error;
    if (error instanceof RangeError && /alloc|array length|memory/i.test(error.message)) {
      throw new IntakeError('too-large', 'There is not enough memory to read a picture of this size.');
    }
    throw new IntakeError('broken-picture', 'The TIFF picture is damaged: it could not be decoded.');
  }
  // A fourth sample that is not alpha is no business of ours.
  if (!alpha) for (let i = 3; i < rgba.length; i += 4) rgba[i] = 255;
  if (rgba.length !== 4 * width * height) {
    throw new IntakeError('broken-picture', 'The TIFF picture is damaged: it could not be decoded.');
  }
  return { width, height, rgba };
}

function verify(image: IFD): void {
  const first = (tag: string, otherwise: number): number =>
    (image[tag] as number[] | undefined)?.[0] ?? otherwise;
  const samples = first('t277', 1);
  const bits = first('t258', 1);
  const apart = first('t284', 1) !== 1 && samples > 1;
  const known = BITS[samples]?.includes(bits) || (first('t262', 1) === PALETTE && bits === 4);
  if (apart || !known) {
    throw new IntakeError(
      'picture-kind',
      'The TIFF picture is of a kind that browsers can’t be taught to read; save it as 8-bit RGB or as PNG.',
    );
  }
}
