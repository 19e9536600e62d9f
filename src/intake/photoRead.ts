import type { Warning } from '../geometry/types.ts';
import { readPhotoHeader } from './photoHeader.ts';
import { meansByVectors } from './photoReduceSimd.ts';
import type { Orientation, PhotoHeader, Pixels, ReadPhoto, ReducedPixels } from './photoTypes.ts';
import { DEFAULT_PHOTO_LIMITS } from './settings.ts';
import { IntakeError } from './types.ts';

export { isPhoto, readPhotoHeader } from './photoHeader.ts';

/** Alpha below CLEAR is clear, above SOLID is solid. */
const [CLEAR, SOLID] = [16, 240];
/** A mask has at least this share of clear and of solid pixels, and at most SOFT of those between. */
const [EACH, SOFT] = [0.005, 0.1];

/**
 * Bytes of a photograph → upright pixels, whole and reduced, with what the file tells of itself. The size is judged by
 * the header before anything is decoded. Throws an IntakeError with one plain sentence.
 */
export const readPhoto: ReadPhoto = async (bytes, decoder, limits = DEFAULT_PHOTO_LIMITS, hooks = {}) => {
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0, 'reading');
  const header = readPhotoHeader(bytes, limits);
  const stored = await decoder(bytes, header);
  if (stored.width !== header.width || stored.height !== header.height) {
    throw new IntakeError('broken-picture', 'The picture is not of the size that its header says.');
  }
  hooks.signal?.throwIfAborted();
  hooks.progress?.(0.7, 'reading');
  const upright = turn(stored, header.orientation);
  const masked = header.alpha && isMask(upright.rgba);
  const factor = Math.ceil(Math.sqrt((upright.width * upright.height) / limits.reducedPixels));
  const reduced = reduce(upright, factor);
  hooks.progress?.(1, 'read');
  return {
    kind: 'photo',
    ...upright,
    reduced,
    masked,
    format: header.format,
    orientation: header.orientation,
    camera: header.camera,
    ...(header.resolution === undefined ? {} : { resolution: header.resolution }),
    ...(header.focal35 === undefined ? {} : { focal35: header.focal35 }),
    warnings: [...header.warnings, ...alphaWarnings(header, masked, upright.rgba)],
  };
};

/** Pixels turned and mirrored as EXIF's orientation says, so that they are upright. */
export function turn({ width, height, rgba }: Pixels, orientation: Orientation): Pixels {
  if (orientation === 1) return { width, height, rgba };
  const from = new Uint32Array(rgba.buffer, rgba.byteOffset, width * height);
  const to = new Uint32Array(width * height);
  const swapped = orientation >= 5;
  const [w, h] = swapped ? [height, width] : [width, height];
  // Where the first upright pixel comes from, and the steps in the stored picture for one to the right and one down.
  const right = width - 1;
  const last = width * (height - 1);
  const [first, across, down] = {
    2: [right, -1, width],
    3: [last + right, -1, -width],
    4: [last, 1, -width],
    5: [0, width, 1],
    6: [last, -width, 1],
    7: [last + right, -width, -1],
    8: [right, width, -1],
  }[orientation];
  for (let v = 0, i = 0; v < h; v++) {
    for (let u = 0, at = first + v * down; u < w; u++, at += across) to[i++] = from[at];
  }
  return { width: w, height: h, rgba: new Uint8ClampedArray(to.buffer) };
}

/**
 * Means of `factor` × `factor` pixels, rounded; a rest at the right and lower edge is left out. All pictures are laid out as
 * these are, so that what is compiled for one holds for all of them.
 */
export function reduce({ width, height, rgba }: Pixels, factor: number): ReducedPixels {
  if (factor <= 1) return { width, height, rgba, factor: 1 };
  const [w, h] = [Math.max(1, Math.floor(width / factor)), Math.max(1, Math.floor(height / factor))];
  const [rows, columns] = [Math.min(factor, height), Math.min(factor, width)];
  const means =
    meansByVectors(rgba, width, w, h, columns, rows) ?? meansOfCells(rgba, width, w, h, columns, rows);
  return { width: w, height: h, rgba: new Uint8ClampedArray(means.buffer), factor };
}

/** What `meansByVectors` gives, on any machine. */
export function meansOfCells(
  rgba: Uint8ClampedArray,
  width: number,
  w: number,
  h: number,
  columns: number,
  rows: number,
): Int32Array<ArrayBuffer> {
  const pixels = new Int32Array(rgba.buffer, rgba.byteOffset, rgba.length / 4);
  const small = new Int32Array(w * h);
  const sums = new Int32Array(4 * w);
  const mean = meansOf(rows * columns);
  // Channels are summed two at a time, 16 bits each; so that they hold, so many rows at a time.
  const most = Math.max(1, Math.floor(0xffff / (255 * columns)));
  for (let v = 0, to = 0; v < h; v++) {
    sums.fill(0);
    for (let b = 0; b < rows; b += most) {
      addCells(pixels, width * (v * rows + b), width, Math.min(most, rows - b), columns, sums);
    }
    for (let k = 0; k < sums.length; k += 4, to++) {
      small[to] =
        mean[sums[k]] | (mean[sums[k + 1]] << 8) | (mean[sums[k + 2]] << 16) | (mean[sums[k + 3]] << 24);
    }
  }
  return small;
}

/** The mean of `count` codes, rounded, by their sum. */
function meansOf(count: number): Uint8ClampedArray {
  const means = new Uint8ClampedArray(255 * count + 1);
  for (let sum = 0; sum < means.length; sum++) means[sum] = sum / count;
  return means;
}

/** Two of a pixel's four 8-bit channels, with room for sums above each. */
const EVERY_OTHER = 0xff00ff;

/** Adds `rows` × `columns` pixels, from the one at `first` on, to the four sums of each cell of a row. */
function addCells(
  pixels: Int32Array,
  first: number,
  width: number,
  rows: number,
  columns: number,
  sums: Int32Array,
): void {
  for (let k = 0, corner = first; k < sums.length; k += 4, corner += columns) {
    let even = 0;
    let odd = 0;
    for (let row = 0, from = corner; row < rows; row++, from += width) {
      let at = from;
      const end = from + columns;
      // Two by two: there are millions of pixels.
      for (; at + 1 < end; at += 2) {
        const pixel = pixels[at];
        const next = pixels[at + 1];
        even = (even + (pixel & EVERY_OTHER) + (next & EVERY_OTHER)) | 0;
        odd = (odd + ((pixel >>> 8) & EVERY_OTHER) + ((next >>> 8) & EVERY_OTHER)) | 0;
      }
      if (at === end) continue;
      const last = pixels[at];
      even = (even + (last & EVERY_OTHER)) | 0;
      odd = (odd + ((last >>> 8) & EVERY_OTHER)) | 0;
    }
    sums[k] += even & 0xffff;
    sums[k + 1] += odd & 0xffff;
    sums[k + 2] += even >>> 16;
    sums[k + 3] += odd >>> 16;
  }
}

function isMask(rgba: Uint8ClampedArray): boolean {
  let [clear, solid] = [0, 0];
  for (let i = 3; i < rgba.length; i += 4) {
    if (rgba[i] < CLEAR) clear++;
    else if (rgba[i] > SOLID) solid++;
  }
  const all = rgba.length / 4;
  return clear >= EACH * all && solid >= EACH * all && all - clear - solid <= SOFT * all;
}

function alphaWarnings({ alpha }: PhotoHeader, masked: boolean, rgba: Uint8ClampedArray): Warning[] {
  if (!alpha || masked) return [];
  let solid = true;
  for (let i = 3; i < rgba.length && solid; i += 4) solid = rgba[i] > SOLID;
  if (solid) return [];
  return [
    {
      code: 'alpha-unused',
      text: 'The picture is partly transparent, but not as a mask would be; transparency is not used.',
    },
  ];
}
