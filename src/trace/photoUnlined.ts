import { opened } from '../geometry/rasterMorphology.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, Pixels, ReducedPixels } from '../intake/photoTypes.ts';
import { type Course, courseOf, placeAt, rowAcross, SHOULDER } from './photoLineCourse.ts';
import { BINS, type Profile, profileOf, valueAt } from './photoLineProfile.ts';
import { type Segment, straightLines, WIDEST_LINE } from './photoLines.ts';

/** Lines are sought in a picture of at most so many pixels. */
const SEARCHED = 300_000;
/** Rows of pixels across a line are looked at so far to either side, as a share of the widest line. */
const REACH = 0.8;
/** Pieces are wider than so many cells; and a line is looked at in so many places for whether it lies on one. */
const [CLUMP, LOOKS] = [5, 40];
/** A row of pixels across a line shows it when it holds this share of its profile, and holds no more than the second. */
const [HELD, MOST] = [0.3, 1.3];
/** And when their correlation is this. */
const ALIKE = 0.85;
/** A pixel has the colour of a line over the backdrop when it lies off that by less than this share of the line's contrast, or so many codes of three channels. */
const [LIKE, LIKE_CODES] = [0.12, 12];

/**
 * The photograph with the long straight lines of its backdrop taken off: the profile of each, read along all of it, is subtracted wherever it is
 * seen, so that what it runs beside or under is left as it is. Undefined where there are none.
 *
 * @param grid a reduced picture of the same; @param mask 1 on its cells that are pieces: what lines lie on these are their own
 */
export function unlined(photo: Photo, grid: ReducedPixels, mask: Uint8Array, cv: Cv): Photo | undefined {
  const { width, height, reduced } = photo;
  const shrink = Math.max(1, Math.ceil(Math.sqrt((reduced.width * reduced.height) / SEARCHED)));
  const small = reduce(reduced, shrink);
  const pieces = opened(mask, grid.width, CLUMP);
  const lines = straightLines(small, cv).filter(
    (line) => !liesOn(line, pieces, grid, reduced.factor * shrink),
  );
  const factor = reduced.factor * shrink;
  const reach = Math.ceil(REACH * WIDEST_LINE * factor);
  let whole: Pixels | undefined;
  for (const line of lines) {
    const course = courseOf(whole ?? photo, line, factor, reach);
    const profile = course && profileOf(whole ?? photo, course, reach);
    if (profile === undefined) continue;
    whole ??= { width, height, rgba: photo.rgba.slice() };
    subtract(whole, course!, profile);
  }
  return whole && { ...photo, ...whole, reduced: reduce(whole, reduced.factor) };
}

/** Whether most of a line, with ends in a picture reduced by `factor`, lies on the cells of a mask. */
function liesOn([x0, y0, x1, y1]: Segment, mask: Uint8Array, grid: ReducedPixels, factor: number): boolean {
  let on = 0;
  for (let k = 0; k < LOOKS; k++) {
    const t = (k + 0.5) / LOOKS;
    const [u, v] = [x0 + t * (x1 - x0), y0 + t * (y1 - y0)].map((at) =>
      Math.floor(((at + 0.5) * factor) / grid.factor),
    );
    on += mask[v * grid.width + u] ?? 0;
  }
  return 2 * on > LOOKS;
}

/**
 * Subtracts a profile from the rows of pixels across a line that show it, by how much they do; and in the rows next to them, where another
 * line or a piece crosses, from those pixels that have the colour that the line would have there.
 */
function subtract(pixels: Pixels, { alongX, bend }: Course, { reach, foot, codes }: Profile): void {
  const { width, height, rgba } = pixels;
  const [length, across] = alongX ? [width, height] : [height, width];
  // So many pixels to either side, and a few that show what is beside the line.
  const wide = Math.min(reach, foot + SHOULDER);
  const count = 2 * wide + 1;
  const row = new Float64Array(3 * count);
  const line = new Float64Array(3 * count);
  const times = new Float64Array(length);
  const pixelAt = (at: number, first: number, k: number): number =>
    alongX ? 4 * ((first + k) * width + at) : 4 * (at * width + first + k);
  const lineAt = (place: number): void => {
    const shift = Math.round(place) - place;
    for (let c = 0, i = 0; c < 3; c++) {
      for (let k = -wide; k <= wide; k++, i++) line[i] = valueAt(codes[c], BINS * (k + reach + shift));
    }
  };
  for (let at = 0; at < length; at++) {
    const place = placeAt(bend, at, length);
    if (!rowAcross(pixels, alongX, at, place, wide, row)) continue;
    lineAt(place);
    let [both, own, all] = [0, 0, 0];
    for (let i = 0; i < row.length; i++) {
      both += row[i] * line[i];
      own += line[i] * line[i];
      all += row[i] * row[i];
    }
    // Where the rim of a piece runs along the line the row looks otherwise, and nothing is known of what is under it.
    if (!(both > HELD * own) || both < ALIKE * Math.sqrt(own * all)) continue;
    times[at] = Math.min(MOST, both / own);
    const first = Math.round(place) - wide;
    for (let k = 0; k < count; k++) {
      const pixel = pixelAt(at, first, k);
      for (let c = 0; c < 3; c++) rgba[pixel + c] -= times[at] * line[c * count + k];
    }
  }
  const far = wide;
  for (let at = 0; at < length; at++) {
    const from = times[at] > 0 ? -1 : nearestAbove(times, at, far);
    if (from < 0) continue;
    const place = placeAt(bend, at, length);
    const first = Math.round(place) - wide;
    const other = Math.round(placeAt(bend, from, length)) - wide;
    if (first < 0 || first + count > across || other < 0 || other + count > across) continue;
    lineAt(place);
    const middle = [wide, count + wide, 2 * count + wide];
    const contrast = times[from] * middle.reduce((sum, i) => sum + Math.abs(line[i]), 0);
    const most = Math.max(LIKE_CODES, LIKE * contrast);
    for (let k = 0; k < count; k++) {
      const [pixel, bare] = [pixelAt(at, first, k), pixelAt(from, other, k)];
      const added = [0, 1, 2].map((c) => times[from] * line[c * count + k]);
      const off = added.reduce((sum, by, c) => sum + Math.abs(rgba[pixel + c] - rgba[bare + c] - by), 0);
      if (off < most) for (let c = 0; c < 3; c++) rgba[pixel + c] -= added[c];
    }
  }
}

/** The nearest place within `reach` of one at which a value is above 0, or −1. */
function nearestAbove(values: Float64Array, at: number, reach: number): number {
  for (let by = 1; by <= reach; by++) {
    if (values[at - by] > 0) return at - by;
    if (values[at + by] > 0) return at + by;
  }
  return -1;
}
