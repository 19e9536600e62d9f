import { exifFacts, NO_FACTS, type PictureFacts } from './photoTags.ts';
import type { PhotoHeader } from './photoTypes.ts';
import { IntakeError } from './types.ts';

interface Size {
  readonly width: number;
  readonly height: number;
  readonly alpha: boolean;
}

/** Walks a WebP file (RFC 9649) from chunk to chunk and reads size, alpha and EXIF. Throws when it is cut short. */
export function readWebpHeader(bytes: Uint8Array): PhotoHeader {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const whole = 8 + view.getUint32(4, true);
  if (whole > bytes.length) throw cutShort();
  let canvas: Size | undefined;
  let image: Size | undefined;
  let facts: PictureFacts = NO_FACTS;
  let exif: readonly [number, number] | undefined;
  for (let at = 12; at + 8 <= whole; ) {
    const name = String.fromCharCode(...bytes.subarray(at, at + 4));
    const length = view.getUint32(at + 4, true);
    const body = at + 8;
    if (body + length > whole) throw cutShort();
    if (name === 'VP8X' && length >= 10) canvas = extended(view, body);
    else if (name === 'VP8 ' && length >= 10) image ??= lossy(view, body);
    else if (name === 'VP8L' && length >= 5) image ??= lossless(view, body);
    else if (name === 'ANMF')
      throw new IntakeError('moving', 'The WebP picture moves; save one still picture of it.');
    else if (name === 'EXIF') {
      exif = [at, body + length];
      const block = bytes.subarray(body, body + length);
      facts = exifFacts(String.fromCharCode(...block.subarray(0, 4)) === 'Exif' ? block.subarray(6) : block);
    }
    at = body + length + (length & 1);
  }
  if (image === undefined) throw new IntakeError('broken-picture', 'The WebP picture holds no image.');
  const { width, height } = canvas ?? image;
  return {
    format: 'webp',
    width,
    height,
    alpha: canvas?.alpha === true || image.alpha,
    page: 0,
    warnings: [],
    ...facts,
    ...(exif === undefined ? {} : { exif }),
  };
}

function extended(view: DataView, body: number): Size {
  const flags = view.getUint8(body);
  const three = (at: number): number => view.getUint16(at, true) + 65536 * view.getUint8(at + 2);
  return { width: three(body + 4) + 1, height: three(body + 7) + 1, alpha: (flags & 0x10) !== 0 };
}

function lossy(view: DataView, body: number): Size {
  return {
    width: view.getUint16(body + 6, true) & 0x3fff,
    height: view.getUint16(body + 8, true) & 0x3fff,
    alpha: false,
  };
}

function lossless(view: DataView, body: number): Size {
  const bits = view.getUint32(body + 1, true);
  return { width: (bits & 0x3fff) + 1, height: ((bits >> 14) & 0x3fff) + 1, alpha: ((bits >> 28) & 1) === 1 };
}

function cutShort(): IntakeError {
  return new IntakeError('truncated', 'The WebP picture is cut short: its end is missing.');
}
