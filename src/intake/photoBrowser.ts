import { decodeTiff } from './photoTiffDecode.ts';
import type { PhotoHeader, Pixels } from './photoTypes.ts';
import { IntakeError } from './types.ts';

const NAMES = { jpeg: 'JPEG', png: 'PNG', webp: 'WebP', tiff: 'TIFF' } as const;

/** The decoder for a browser's worker: the browser's own, by way of a canvas off screen. Not turned upright. */
export async function decodeInBrowser(bytes: Uint8Array, header: PhotoHeader): Promise<Pixels> {
  if (header.format === 'tiff') return decodeTiff(bytes, header);
  const blob = new Blob([withoutExif(bytes, header)], { type: `image/${header.format}` });
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(blob, { premultiplyAlpha: 'none', colorSpaceConversion: 'default' });
  } catch {
    throw new IntakeError(
      'broken-picture',
      `The ${NAMES[header.format]} picture is damaged: it could not be decoded.`,
    );
  }
  const { width, height } = bitmap;
  try {
    const pen = new OffscreenCanvas(width, height).getContext('2d', {
      willReadFrequently: true,
      colorSpace: 'srgb',
    });
    if (pen === null) throw new RangeError('no canvas of this size');
    pen.drawImage(bitmap, 0, 0);
    return { width, height, rgba: pen.getImageData(0, 0, width, height).data };
  } catch {
    throw new IntakeError('too-large', 'The browser has not enough memory for a picture of this size.');
  } finally {
    bitmap.close();
  }
}

/**
 * The file without its EXIF: browsers turn pictures by it whatever they are asked, and not in all formats. In a WebP the
 * chunk is renamed to one that decoders step over, because sizes are written elsewhere too.
 */
function withoutExif(bytes: Uint8Array, { format, exif }: PhotoHeader): Uint8Array<ArrayBuffer> {
  const copy = bytes.slice();
  if (exif === undefined) return copy;
  if (format === 'webp') {
    copy.set([0x58, 0x58, 0x58, 0x58], exif[0]);
    return copy;
  }
  copy.copyWithin(exif[0], exif[1]);
  return copy.subarray(0, copy.length - (exif[1] - exif[0]));
}
