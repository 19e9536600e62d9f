import type { Warning } from '../geometry/types.ts';
import { TAG, TagReader, type Tags, tagFacts } from './photoTags.ts';
import type { PhotoHeader } from './photoTypes.ts';
import { IntakeError } from './types.ts';

/** Photometric interpretations of TIFF 6.0 that are read: white is 0, black is 0, RGB, palette, YCbCr. */
const READABLE = new Set([0, 1, 2, 3, 6]);
const INKS = 5;
const FLOATING = 3;
/** An extra sample of kind 1 or 2 is alpha. */
const ALPHA_KINDS = new Set([1, 2]);

/** Size, tags and completeness of the largest image of a TIFF file (the others are small views of it, as a rule). */
export function readTiffHeader(bytes: Uint8Array): PhotoHeader {
  if (!TagReader.begins(bytes)) {
    throw new IntakeError('big-tiff', 'The TIFF picture is a BigTIFF; save it as a plain TIFF or as PNG.');
  }
  const reader = new TagReader(bytes);
  const pages = reader.directories();
  if (pages.length === 0 || reader.cut) {
    throw new IntakeError('truncated', 'The TIFF picture is cut short: part of its description is missing.');
  }
  const areas = pages.map((tags) => first(tags, TAG.width) * first(tags, TAG.height));
  const page = areas.indexOf(Math.max(...areas));
  const tags = pages[page];
  verifyKind(tags);
  verifyData(tags, bytes.length);
  return {
    format: 'tiff',
    width: first(tags, TAG.width),
    height: first(tags, TAG.height),
    alpha: (tags.get(TAG.extraSamples) ?? []).some((kind) => ALPHA_KINDS.has(kind)),
    page,
    warnings: otherPages(areas),
    ...facts(tags, pages[0], reader),
  };
}

/** Tags of the camera lie in the first directory, even where the largest image is another. */
function facts(tags: Tags, main: Tags, reader: TagReader): ReturnType<typeof tagFacts> {
  const own = tagFacts(tags, reader, 'TIFF');
  const { camera, focal35 } = tagFacts(main, reader, 'TIFF');
  return { ...own, camera: own.camera || camera, ...(focal35 === undefined ? {} : { focal35 }) };
}

function verifyKind(tags: Tags): void {
  const photometric = first(tags, TAG.photometric);
  if (photometric === INKS) {
    throw new IntakeError('cmyk', 'The TIFF picture is in four inks (CMYK), for printing; save it as RGB.');
  }
  const bits = tags.get(TAG.bits) ?? [1];
  const floating = tags.get(TAG.sampleFormat)?.some((format) => format === FLOATING) === true;
  if (!READABLE.has(photometric) || floating || bits.some((n) => n > 16)) {
    throw new IntakeError(
      'picture-kind',
      'The TIFF picture is of a kind that is not read (raw, floating-point or laboratory colours); save it as 8-bit RGB.',
    );
  }
}

function verifyData(tags: Tags, length: number): void {
  const offsets = tags.get(TAG.stripOffsets) ?? tags.get(TAG.tileOffsets);
  const counts = tags.get(TAG.stripCounts) ?? tags.get(TAG.tileCounts);
  const whole =
    offsets !== undefined &&
    counts !== undefined &&
    offsets.length === counts.length &&
    offsets.every((offset, i) => offset + counts[i] <= length);
  if (!whole)
    throw new IntakeError('truncated', 'The TIFF picture is cut short: part of its image is missing.');
}

function otherPages(areas: readonly number[]): Warning[] {
  const greatest = Math.max(...areas);
  const alike = areas.filter((area) => area > greatest / 2).length;
  if (alike < 2) return [];
  return [
    {
      code: 'several-pages',
      text: `The TIFF file holds ${alike} large pictures; the first of the largest is measured.`,
    },
  ];
}

function first(tags: Tags, tag: number): number {
  return tags.get(tag)?.[0] ?? 0;
}
