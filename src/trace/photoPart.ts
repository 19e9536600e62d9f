import type { Points2 } from '../geometry/types.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, Pixels, ReducedPixels } from '../intake/photoTypes.ts';
import { DEFAULT_PHOTO_LIMITS } from '../intake/settings.ts';
import type { KnownPlaces } from './photoSegment.ts';

/** What is left round the field of a mat, as a share of its extent: a piece that overhangs it is seen to. */
const ROUND_FIELD = 0.05;
/** Backdrop that is left round what stands off it, as a share of the longer side of that. */
const ROUND_THINGS = 0.25;
/** A part that is a larger share of the picture than this is not worth a look of its own. */
const WORTH = 0.5;

/** Things that are a smaller share than this of the largest that stands off the backdrop are not looked for. */
const SPECK = 1 / 3;
/** Beside a scale bar a thing is looked at by itself only if it is this share of all that stands off: of several scattered ones it may be a glint. */
const MAIN = 0.6;
/** Columns of what OpenCV tells of connected components. */
const STATS = ['left', 'top', 'width', 'height', 'area'] as const;

/** A part of a photograph as a photograph of its own. */
export interface PhotoPart {
  readonly photo: Photo;
  readonly known: KnownPlaces;
  /** Where its first pixel lies in the whole. */
  readonly x: number;
  readonly y: number;
}

/** First pixel and one past the last along x and along y. */
type Box = readonly [left: number, right: number, top: number, bottom: number];

/**
 * The part of a photograph that holds the clear field of a mat: what is told apart on a coarse grid is told apart more finely
 * when that spans the field alone. Undefined without a field.
 */
export function fieldPart(photo: Photo, known: KnownPlaces): PhotoPart | undefined {
  const { field } = known;
  if (field === undefined) return undefined;
  const [left, right] = extent(field, 0);
  const [top, bottom] = extent(field, 1);
  const box = widened(
    [left, right, top, bottom],
    ROUND_FIELD * (right - left),
    ROUND_FIELD * (bottom - top),
    photo,
  );
  return box[1] > box[0] && box[3] > box[2] ? partOf(photo, known, box) : undefined;
}

/** The part that holds the largest things that a mask on `grid` marks, with backdrop round it; undefined where that is most of the picture. */
export function thingsPart(
  photo: Photo,
  known: KnownPlaces,
  { width, height, factor }: ReducedPixels,
  mask: Uint8Array,
  cv: Cv,
): PhotoPart | undefined {
  let [left, right, top, bottom] = [width, -1, height, -1];
  const from = new cv.Mat(height, width, cv.CV_8UC1);
  const [labels, stats, centres] = [new cv.Mat(), new cv.Mat(), new cv.Mat()];
  try {
    from.data.set(mask);
    const count = cv.connectedComponentsWithStats(from, labels, stats, centres);
    const column = (thing: number, name: (typeof STATS)[number]): number =>
      stats.data32S[STATS.length * thing + STATS.indexOf(name)];
    const bars = alongBar(known.bar, factor).map(([u, v]) => labels.data32S[v * width + u]);
    const things = Array.from({ length: count - 1 }, (_, k) => k + 1).filter(
      (thing) => !bars.includes(thing),
    );
    const largest = Math.max(...things.map((thing) => column(thing, 'area')));
    const all = things.reduce((sum, thing) => sum + column(thing, 'area'), 0);
    if (known.bar !== undefined && largest < MAIN * all) return undefined;
    for (const thing of things) {
      if (column(thing, 'area') < SPECK * largest) continue;
      left = Math.min(left, column(thing, 'left'));
      right = Math.max(right, column(thing, 'left') + column(thing, 'width') - 1);
      top = Math.min(top, column(thing, 'top'));
      bottom = Math.max(bottom, column(thing, 'top') + column(thing, 'height') - 1);
    }
  } finally {
    for (const mat of [from, labels, stats, centres]) mat.delete();
  }
  if (right < left) return undefined;
  const round = factor * ROUND_THINGS * Math.max(right + 1 - left, bottom + 1 - top);
  const cells = [left, right + 1, top, bottom + 1].map((cell) => factor * cell);
  const box = widened([cells[0], cells[1], cells[2], cells[3]], round, round, photo);
  const share = ((box[1] - box[0]) * (box[3] - box[2])) / (photo.width * photo.height);
  return share > WORTH ? undefined : partOf(photo, known, box);
}

/** Cells along the middle of a scale bar, which is no thing to look for. */
function alongBar(ends: Float64Array | undefined, factor: number): (readonly [u: number, v: number])[] {
  if (ends === undefined) return [];
  const [x0, y0, x1, y1] = ends;
  return Array.from({ length: 9 }, (_, k) => {
    const t = (k + 1) / 10;
    return [Math.floor((x0 + t * (x1 - x0)) / factor), Math.floor((y0 + t * (y1 - y0)) / factor)] as const;
  });
}

function widened([left, right, top, bottom]: Box, x: number, y: number, { width, height }: Photo): Box {
  return [
    Math.max(0, Math.floor(left - x)),
    Math.min(width, Math.ceil(right + x)),
    Math.max(0, Math.floor(top - y)),
    Math.min(height, Math.ceil(bottom + y)),
  ];
}

/**
 * The part that holds a ring, with as much round it as a share of its extent, in about so many pixels at most: of the reduced picture
 * where that is fine enough.
 */
export function ringPart(photo: Photo, ring: Points2, round: number, pixels: number): ReducedPixels {
  const [left, right] = extent(ring, 0);
  const [top, bottom] = extent(ring, 1);
  const wide = round * Math.max(right - left, bottom - top);
  const box = widened([left, right + 1, top, bottom + 1], wide, wide, photo);
  const factor = Math.ceil(Math.sqrt(((box[1] - box[0]) * (box[3] - box[2])) / pixels));
  const from = factor < photo.reduced.factor ? reduce(photo, 1) : photo.reduced;
  const cells = box.map((edge) => Math.floor(edge / from.factor)) as [number, number, number, number];
  const small = reduce(cropped(from, cells), Math.ceil(factor / from.factor));
  return { ...small, factor: small.factor * from.factor };
}

/** The pixels of a box, copied. */
function cropped({ width: across, height: down, rgba }: Pixels, [left, right, top, bottom]: Box): Pixels {
  const [width, height] = [right - left, bottom - top];
  const from = new Uint32Array(rgba.buffer, rgba.byteOffset, across * down);
  const to = new Uint32Array(width * height);
  for (let v = 0, at = top * across + left; v < height; v++, at += across) {
    to.set(from.subarray(at, at + width), v * width);
  }
  return { width, height, rgba: new Uint8ClampedArray(to.buffer) };
}

function partOf(photo: Photo, known: KnownPlaces, box: Box): PhotoPart {
  const [left, , top] = box;
  const whole = cropped(photo, box);
  const factor = Math.ceil(Math.sqrt((whole.width * whole.height) / DEFAULT_PHOTO_LIMITS.reducedPixels));
  const moved = (points: Float64Array): Float64Array =>
    points.map((v, i) => v - ((i & 1) === 0 ? left : top));
  const { field, bare, bar } = known;
  return {
    photo: { ...photo, ...whole, reduced: reduce(whole, factor) },
    known: {
      ...(field && { field: moved(field) }),
      ...(bare && { bare: moved(bare) }),
      ...(bar && { bar: moved(bar) }),
    },
    x: left,
    y: top,
  };
}

/** Least and greatest x (0) or y (1) of points. */
function extent(points: Float64Array, along: 0 | 1): readonly [number, number] {
  let [least, most] = [Infinity, -Infinity];
  for (let i = along; i < points.length; i += 2) {
    least = Math.min(least, points[i]);
    most = Math.max(most, points[i]);
  }
  return [least, most];
}
