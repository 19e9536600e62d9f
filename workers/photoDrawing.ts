import { maskInside } from '../src/geometry/polygonMask.ts';
import type { Points2 } from '../src/geometry/types.ts';
import { reduce } from '../src/intake/photoRead.ts';
import type { Photo, PhotoScale, Pixels } from '../src/intake/photoTypes.ts';
import { planeToImage } from '../src/intake/scaleMap.ts';
import { PAST, type ViewPlace } from '../src/record/photoViews.ts';
import type { Pair } from '../src/record/schema.ts';
import type { PhotoPiece } from '../src/trace/photoPieces.ts';
import type { TracedPhoto } from '../src/trace/tracePhoto.ts';
import type { Frame } from '../src/trace/types.ts';
import type { Candidate, PhotoLines, PhotoPicture, Relief, ViewLines } from './messages.ts';

/** Pixels of the picture that the page shows at most. */
const SHOWN_PIXELS = 9_000_000;
/** Rows of the cut-out picture of a piece, and its pixels for a card. */
const CUT_ROWS = 900;
/** Uncertainty of an outline's points from which on it is shown that they are in doubt, pixels: well above what clear edges have. */
const DOUBTED = 1.5;
/** Corners of a ring that is only offered. */
const OFFERED = 900;

/** The whole photograph, small enough to be drawn at any zoom. */
export async function drawPicture(photo: Photo): Promise<PhotoPicture> {
  const { width, height } = photo;
  const small = reduce(photo, Math.ceil(Math.sqrt((width * height) / SHOWN_PIXELS)));
  const type = photo.masked ? 'image/png' : 'image/jpeg';
  return { image: await encoded(small, type), width, height, pixel: small.factor };
}

/** A thumbnail of the whole photograph, for a card without a piece. Its place is told in pixels: there are no mm yet. */
export async function drawThumbnail(photo: Photo): Promise<Relief> {
  const { width, height, reduced } = photo;
  const small = reduce(reduced, Math.max(1, Math.floor(Math.max(reduced.width, reduced.height) / 480)));
  return {
    image: await encoded(small, photo.masked ? 'image/png' : 'image/jpeg'),
    x: 0,
    y: 0,
    width,
    height,
  };
}

/** The piece cut from a photograph, and where it lies in the specimen frame. */
export interface CutOut extends Omit<Relief, 'image'> {
  readonly pixels: Pixels;
}

export async function drawCutOut(photo: Photo, scale: PhotoScale, traced: TracedPhoto): Promise<Relief> {
  const { pixels, ...place } = cutOut(photo, scale, traced);
  return { image: await encoded(pixels, 'image/png'), ...place };
}

/** The same of Face B, which was traced as seen through the piece; with the outline that it has in its own photograph. */
export async function drawFaceB(photo: Photo, scale: PhotoScale, traced: TracedPhoto): Promise<Relief> {
  const { pixels, ...place } = cutOut(photo, scale, traced, true);
  return { image: await encoded(pixels, 'image/png'), ...place, outline: ringsOf(traced) };
}

/**
 * The piece cut from the photograph, tip up, rectified, clear around it. `behind`: it was traced as seen through the piece,
 * and is cut out as its photograph shows it.
 */
export function cutOut(photo: Photo, scale: PhotoScale, traced: TracedPhoto, behind = false): CutOut {
  const { frame, length } = traced.model;
  const sign = behind ? -1 : 1;
  const rings = [traced.model.outline.outer, ...traced.model.outline.inner].map((ring) =>
    sideways(ring, sign),
  );
  let [left, right] = [Infinity, -Infinity];
  for (let i = 0; i < rings[0].length; i += 2) {
    left = Math.min(left, rings[0][i]);
    right = Math.max(right, rings[0][i]);
  }
  const cell = Math.max(length / CUT_ROWS, traced.model.quality.meanEdge);
  const [columns, rows] = [Math.ceil((right - left) / cell) + 2, Math.ceil(length / cell) + 2];
  const [x0, y0] = [left - cell / 2, -cell / 2];
  const inside = maskInside(rings, { x0, y0, cell, columns, rows });
  const centres = new Float64Array(2 * columns * rows);
  for (let k = 0; k < columns * rows; k++) {
    centres[2 * k] = x0 + (k % columns) * cell;
    centres[2 * k + 1] = y0 + Math.floor(k / columns) * cell;
  }
  const onPlane = sideways(toPlane(frame, sideways(centres, sign)), sign);
  const seen = planeToImage(scale, onPlane, traced.marginHeight.value);
  // Fewer pixels than the picture has would miss some of them: the reduced picture holds their means.
  const coarse = cell / traced.model.quality.meanEdge >= photo.reduced.factor;
  const { from, factor } = coarse
    ? { from: photo.reduced, factor: photo.reduced.factor }
    : { from: photo, factor: 1 };
  const rgba = new Uint8ClampedArray(4 * columns * rows);
  for (let k = 0; k < columns * rows; k++) {
    if (inside[k] === 0) continue;
    const [u, v] = [(seen[2 * k] + 0.5) / factor - 0.5, (seen[2 * k + 1] + 0.5) / factor - 0.5];
    // Pictures run downward, the grid upward.
    const row = rows - 1 - Math.floor(k / columns);
    sample(from, u, v, rgba, 4 * (row * columns + (k % columns)));
  }
  const pixels = { width: columns, height: rows, rgba };
  return { pixels, x: x0 - cell / 2, y: y0 - cell / 2, width: columns * cell, height: rows * cell };
}

/** What was traced, as it lies in the picture. */
export function drawLines(scale: PhotoScale, { model, marginHeight }: TracedPhoto): PhotoLines {
  const { outline, midline, frame, length } = model;
  const seen = (points: Points2): Float32Array =>
    Float32Array.from(planeToImage(scale, toPlane(frame, points), marginHeight.value));
  const middle = new Float64Array(2 * midline.x.length);
  midline.x.forEach((x, i) => {
    middle[2 * i] = x;
    middle[2 * i + 1] = midline.y[i];
  });
  return {
    outline: [outline.outer, ...outline.inner].map(seen),
    drawn: stretchesOf(model.outline.outer, model.drawn, 0).map(seen),
    doubted: stretchesOf(model.outline.outer, model.outline.errors, DOUBTED * model.quality.meanEdge).map(
      seen,
    ),
    midline: seen(middle),
    axis: seen(Float64Array.of(0, -PAST * length, 0, (1 + PAST) * length)),
  };
}

/** Runs of a ring, x y pairs, whose points have values above a bound; none where there are no values. */
function stretchesOf(ring: Points2, values: Float64Array | undefined, bound: number): Points2[] {
  if (values === undefined) return [];
  const n = values.length;
  const first = Math.max(
    0,
    values.findIndex((value) => value <= bound),
  );
  const runs: number[][] = [];
  for (let k = 0, open = false; k < n; k++) {
    const i = (first + k) % n;
    const above = values[i] > bound;
    if (above && !open) runs.push([]);
    if (above) runs[runs.length - 1].push(ring[2 * i], ring[2 * i + 1]);
    open = above;
  }
  return runs.map((run) => Float64Array.from(run));
}

/** What was traced in a further photograph, as it lies in its picture. */
export function drawView(
  scale: PhotoScale,
  candidates: readonly PhotoPiece[],
  { piece, axis, height, wire }: ViewPlace,
): ViewLines {
  return {
    piece: candidates.indexOf(piece) + 1,
    outline: Float32Array.from(piece.ring),
    axis: Float32Array.from(planeToImage(scale, axis, height)),
    past: PAST,
    ...(wire === undefined ? {} : { wire: Float32Array.from(wire) }),
  };
}

/** Rings to choose from, coarse enough to be drawn by the dozen. */
export function drawCandidates(pieces: readonly PhotoPiece[]): Candidate[] {
  return pieces.map(({ ring, kind }) => {
    const step = Math.max(1, Math.round(ring.length / 2 / OFFERED));
    return { kind, ring: Float32Array.from(ring.filter((_, i) => (i >> 1) % step === 0)) };
  });
}

/** Specimen frame → plane of the scale, mm. The frame of a photograph turns and moves within the plane. */
function toPlane({ matrix: m }: Frame, points: Points2): Points2 {
  const plane = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    const [dx, dy] = [points[i] - m[12], points[i + 1] - m[13]];
    plane[i] = m[0] * dx + m[1] * dy;
    plane[i + 1] = m[4] * dx + m[5] * dy;
  }
  return plane;
}

/** The traced outline, outer ring first, in the specimen frame. */
export function ringsOf({ model: { outline } }: TracedPhoto): Pair[][] {
  return [outline.outer, ...outline.inner].map(pairsOf);
}

function pairsOf(ring: Points2): Pair[] {
  return Array.from({ length: ring.length / 2 }, (_, k): Pair => [ring[2 * k], ring[2 * k + 1]]);
}

/** Points with x turned about, or as they are. */
function sideways(points: Points2, sign: 1 | -1): Points2 {
  return sign === 1 ? points : Float64Array.from(points, (value, i) => (i % 2 === 0 ? -value : value));
}

/** One pixel between its four neighbours. */
function sample(
  { width, height, rgba }: Pixels,
  u: number,
  v: number,
  to: Uint8ClampedArray,
  at: number,
): void {
  const x = Math.min(width - 1.001, Math.max(0, u));
  const y = Math.min(height - 1.001, Math.max(0, v));
  const [i, j] = [Math.floor(x), Math.floor(y)];
  const [a, b] = [x - i, y - j];
  const from = 4 * (j * width + i);
  const [right, down] = [i + 1 < width ? 4 : 0, j + 1 < height ? 4 * width : 0];
  for (let c = 0; c < 3; c++) {
    to[at + c] =
      (1 - b) * ((1 - a) * rgba[from + c] + a * rgba[from + right + c]) +
      b * ((1 - a) * rgba[from + down + c] + a * rgba[from + down + right + c]);
  }
  to[at + 3] = 255;
}

async function encoded({ width, height, rgba }: Pixels, type: 'image/png' | 'image/jpeg'): Promise<Blob> {
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d');
  if (context === null) throw new RangeError('no canvas of this size');
  context.putImageData(new ImageData(rgba as Uint8ClampedArray<ArrayBuffer>, width, height), 0, 0);
  return canvas.convertToBlob({ type, quality: 0.9 });
}
