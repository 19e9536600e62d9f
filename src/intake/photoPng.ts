import { exifFacts, NO_FACTS, type PictureFacts, resolutionTag } from './photoTags.ts';
import type { PhotoHeader, ResolutionTag } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/**
 * Walks a PNG file (ISO/IEC 15948) from chunk to chunk up to its end, and reads size, pHYs, eXIf and whether anything
 * is transparent. Throws when it is cut short.
 */
export function readPngHeader(bytes: Uint8Array): PhotoHeader {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let size: { width: number; height: number; alpha: boolean } | undefined;
  let clear = false;
  let data = false;
  let resolution: ResolutionTag | undefined;
  let facts: PictureFacts = NO_FACTS;
  let exif: readonly [number, number] | undefined;
  for (let at = 8; ; ) {
    if (at + 12 > bytes.length) throw cutShort();
    const length = view.getUint32(at);
    const name = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    const body = at + 8;
    const end = body + length + 4;
    if (end > bytes.length) throw cutShort();
    if (name === 'IHDR' && length >= 13) {
      size = {
        width: view.getUint32(body),
        height: view.getUint32(body + 4),
        alpha: (view.getUint8(body + 9) & 4) !== 0,
      };
    } else if (name === 'IDAT') data = true;
    else if (name === 'tRNS') clear = true;
    else if (name === 'pHYs' && length >= 9 && view.getUint8(body + 8) === 1) {
      resolution = resolutionTag(view.getUint32(body) / 1000, view.getUint32(body + 4) / 1000, 'pHYs');
    } else if (name === 'eXIf') {
      exif = [at, end];
      facts = exifFacts(bytes.subarray(body, body + length));
    } else if (name === 'IEND') break;
    at = end;
  }
  if (size === undefined || !data) throw new IntakeError('broken-picture', 'The PNG picture holds no image.');
  const { resolution: fromExif, ...others } = facts;
  const told = resolution ?? fromExif;
  return {
    format: 'png',
    width: size.width,
    height: size.height,
    alpha: size.alpha || clear,
    page: 0,
    warnings: [],
    ...others,
    ...(told === undefined ? {} : { resolution: told }),
    ...(exif === undefined ? {} : { exif }),
  };
}

function cutShort(): IntakeError {
  return new IntakeError('truncated', 'The PNG picture is cut short: its end is missing.');
}
