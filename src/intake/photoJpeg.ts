import { exifFacts, NO_FACTS, type PictureFacts, resolutionTag } from './photoTags.ts';
import type { PhotoHeader, ResolutionTag } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/** Frame headers: SOF0–15 without DHT, JPG and DAC, which share their row. */
const NOT_FRAMES = new Set([0xc4, 0xc8, 0xcc]);
const [SOI, EOI, SOS, APP0, APP1] = [0xd8, 0xd9, 0xda, 0xe0, 0xe1];

interface Frame {
  readonly width: number;
  readonly height: number;
  readonly components: number;
}

/**
 * Walks a JPEG file (ITU-T T.81) from marker to marker up to its end mark, and reads size, JFIF density and EXIF.
 * Throws when it is cut short or in four inks.
 */
export function readJpegHeader(bytes: Uint8Array): PhotoHeader {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let frame: Frame | undefined;
  let jfif: ResolutionTag | undefined;
  let facts: PictureFacts = NO_FACTS;
  let exif: readonly [number, number] | undefined;
  let at = 2;
  let scanned = false;
  for (;;) {
    const marker = nextMarker(bytes, at);
    if (marker === undefined) throw cutShort();
    const [code, body] = marker;
    if (code === EOI) break;
    at = body;
    if (code === SOI || code === 0x01 || (code >= 0xd0 && code <= 0xd7)) continue;
    if (body + 2 > bytes.length) throw cutShort();
    const end = body + view.getUint16(body);
    if (end > bytes.length || end < body + 2) throw cutShort();
    if (code >= 0xc0 && code <= 0xcf && !NOT_FRAMES.has(code)) frame ??= readFrame(view, body, end);
    else if (code === APP0) jfif ??= readJfif(bytes, view, body, end);
    else if (code === APP1 && exif === undefined && starts(bytes, body + 2, 'Exif\0\0')) {
      exif = [body - 2, end];
      facts = exifFacts(bytes.subarray(body + 8, end));
    }
    if (code === SOS) scanned = true;
    at = end;
  }
  if (frame === undefined || !scanned)
    throw new IntakeError('broken-picture', 'The JPEG picture holds no image.');
  if (frame.components === 4) {
    throw new IntakeError('cmyk', 'The JPEG picture is in four inks (CMYK), for printing; save it as RGB.');
  }
  const { resolution = jfif, ...others } = facts;
  return {
    format: 'jpeg',
    width: frame.width,
    height: frame.height,
    alpha: false,
    page: 0,
    warnings: [],
    ...others,
    ...(resolution === undefined ? {} : { resolution }),
    ...(exif === undefined ? {} : { exif }),
  };
}

/** The next marker at or after `at`, and where its body begins. Fill bytes and coded data are stepped over. */
function nextMarker(bytes: Uint8Array, at: number): [code: number, body: number] | undefined {
  let i = bytes.indexOf(0xff, at);
  while (i >= 0 && i + 1 < bytes.length) {
    const code = bytes[i + 1];
    if (code !== 0 && code !== 0xff) return [code, i + 2];
    i = bytes.indexOf(0xff, code === 0xff ? i + 1 : i + 2);
  }
  return undefined;
}

function readFrame(view: DataView, body: number, end: number): Frame {
  if (end < body + 8) throw new IntakeError('broken-picture', 'The JPEG picture has a damaged frame header.');
  return {
    height: view.getUint16(body + 3),
    width: view.getUint16(body + 5),
    components: view.getUint8(body + 7),
  };
}

/** Density of JFIF (ITU-T T.871): unit 1 is dots an inch, 2 dots a centimetre, 0 an aspect ratio only. */
function readJfif(bytes: Uint8Array, view: DataView, body: number, end: number): ResolutionTag | undefined {
  if (!starts(bytes, body + 2, 'JFIF\0') || end < body + 14) return undefined;
  const unit = view.getUint8(body + 9);
  if (unit !== 1 && unit !== 2) return undefined;
  const mm = unit === 1 ? 25.4 : 10;
  return resolutionTag(view.getUint16(body + 10) / mm, view.getUint16(body + 12) / mm, 'JFIF');
}

function starts(bytes: Uint8Array, at: number, text: string): boolean {
  return String.fromCharCode(...bytes.subarray(at, at + text.length)) === text;
}

function cutShort(): IntakeError {
  return new IntakeError('truncated', 'The JPEG picture is cut short: its end is missing.');
}
