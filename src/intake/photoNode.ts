import { plainTiff } from './photoTiffPlain.ts';
import type { PhotoHeader, Pixels } from './photoTypes.ts';
import { IntakeError } from './types.ts';

const NAMES = { jpeg: 'JPEG', png: 'PNG', webp: 'WebP', tiff: 'TIFF' } as const;

/** The decoder for Node, of all formats: libvips by way of sharp; embedded colour profiles are turned into sRGB. Not turned upright. */
export async function decodeInNode(bytes: Uint8Array, header: PhotoHeader): Promise<Pixels> {
  // The size was checked in the header before this: a decoder that finds more has been told a lie.
  const limitInputPixels = header.width * header.height;
  const source = header.format === 'tiff' ? (plainTiff(bytes, header.page) ?? bytes) : bytes;
  // Its library takes long to load: who measures scans does without.
  const { default: sharp } = await import('sharp');
  try {
    const { data, info } = await sharp(source, { limitInputPixels, failOn: 'error' })
      .toColourspace('srgb')
      .ensureAlpha()
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true });
    const rgba = new Uint8ClampedArray(data.buffer, data.byteOffset, data.byteLength);
    return { width: info.width, height: info.height, rgba };
  } catch {
    throw new IntakeError(
      'broken-picture',
      `The ${NAMES[header.format]} picture is damaged: it could not be decoded.`,
    );
  }
}
