import { solveSymmetric } from '../geometry/leastSquares.ts';
import { medianInPlace } from '../geometry/median.ts';
import { opened } from '../geometry/rasterMorphology.ts';
import type { Cv } from '../intake/photoOpencv.ts';
import { reduce } from '../intake/photoRead.ts';
import type { Photo, Pixels, ReducedPixels } from '../intake/photoTypes.ts';
import { type Segment, straightLines, WIDEST_LINE } from './photoLines.ts';

/** Lines are sought in a picture of at most so many pixels. */
const SEARCHED = 300_000;
/** Rows of pixels across a line are looked at so far to either side, as a share of the widest line. */
const REACH = 0.8;
/** Pieces are wider than so many cells; and a line is looked at in so many places for whether it lies on one. */
const [CLUMP, LOOKS] = [5, 40];
/** A line's place is read in windows of so many rows of pixels across it. */
const WINDOW = 48;
/** A window shows the line where its contrast is from this share of the usual up; and the line must be seen over this share of the shorter side. */
const [SHOWS, LONG] = [0.5, 0.25];
/** Of the rows of a window so many are read, and of a whole line so many tell its profile. */
const [ROWS, PROFILED] = [8, 300];
/** A line with less contrast, codes, has nothing taken off. */
const LEAST_CONTRAST = 4;
/** Windows that lie off the fitted course of the line by more pixels show something else. */
const ASTRAY = 2;
/** The profile of a line is as wide as it is more than this share of its contrast. */
const FOOT = 0.06;
/** Pixels to a bin of a profile, one over. */
const BINS = 2;
/** A row of pixels across a line shows it when it holds this share of its profile, and holds no more than the second. */
const [HELD, MOST] = [0.3, 1.3];
/** And when their correlation is this. */
const ALIKE = 0.85;
/** A pixel has the colour of a line over the backdrop when it lies off that by less than this share of the line's contrast, or so many codes of three channels. */
const [LIKE, LIKE_CODES] = [0.12, 12];
/** Pixels beside a line by which its row is levelled. */
const SHOULDER = 3;

/** A course that is nearly straight: along x (or y) it runs at a + b·t + c·t², t from −1 to 1 over the picture. */
interface Course {
  /** Whether places are counted along x. */
  readonly alongX: boolean;
  readonly bend: Float64Array;
}

/** What a line adds to the codes of three channels at offsets across it, from −reach on, BINS to a pixel. */
interface Profile {
  readonly reach: number;
  /** How far to either side it is more than nothing, pixels. */
  readonly foot: number;
  readonly codes: readonly [Float64Array, Float64Array, Float64Array];
}

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

/** Codes of a row of pixels across a line about `middle`, three channels one after the other, less the straight line between its two ends. */
function rowAcross(
  { width, height, rgba }: Pixels,
  alongX: boolean,
  at: number,
  middle: number,
  reach: number,
  into: Float64Array,
): boolean {
  const first = Math.round(middle) - reach;
  const count = 2 * reach + 1;
  if (first < 0 || first + count > (alongX ? height : width)) return false;
  const step = alongX ? 4 * width : 4;
  const start = alongX ? 4 * (first * width + at) : 4 * (at * width + first);
  for (let c = 0; c < 3; c++) {
    for (let k = 0, i = start + c; k < count; k++, i += step) into[c * count + k] = rgba[i];
    level(into, c * count, count);
  }
  return true;
}

/** Takes the straight line between the means of a few values at either end off some values. */
function level(values: Float64Array, from: number, count: number): void {
  let [low, high] = [0, 0];
  for (let k = 0; k < SHOULDER; k++) {
    low += values[from + k] / SHOULDER;
    high += values[from + count - 1 - k] / SHOULDER;
  }
  const middle = (SHOULDER - 1) / 2;
  for (let k = 0; k < count; k++)
    values[from + k] -= low + ((high - low) * (k - middle)) / (count - SHOULDER);
}

/** Where a line runs, by the middles of what stands out in windows along it; undefined where too few show it. */
function courseOf(
  pixels: Pixels,
  [x0, y0, x1, y1]: Segment,
  factor: number,
  reach: number,
): Course | undefined {
  const alongX = Math.abs(x1 - x0) >= Math.abs(y1 - y0);
  const [length, across] = alongX ? [pixels.width, pixels.height] : [pixels.height, pixels.width];
  const whole = (v: number): number => factor * v + (factor - 1) / 2;
  const [a0, b0, a1, b1] = (alongX ? [x0, y0, x1, y1] : [y0, x0, y1, x1]).map(whole);
  const guess = (at: number): number => b0 + ((b1 - b0) * (at - a0)) / (a1 - a0);
  const windows: { readonly at: number; readonly off: number; readonly contrast: number }[] = [];
  const count = 2 * reach + 1;
  const [row, sum] = [new Float64Array(3 * count), new Float64Array(count)];
  for (let from = 0; from + WINDOW <= length; from += WINDOW) {
    const at = from + WINDOW / 2;
    sum.fill(0);
    let rows = 0;
    const middle = Math.round(guess(at));
    for (let k = from; k < from + WINDOW; k += WINDOW / ROWS) {
      // All rows of a window are read about its guess, shifted as the line runs.
      const shift = Math.round(guess(k) - guess(at));
      if (!rowAcross(pixels, alongX, k, middle + shift, reach, row)) continue;
      rows++;
      for (let i = 0; i < count; i++) sum[i] += (row[i] + row[count + i] + row[2 * count + i]) / 3;
    }
    if (2 * rows < ROWS) continue;
    const peak = peakOf(sum);
    windows.push({ at, off: middle + peak.at - reach, contrast: peak.height / rows });
  }
  const most = medianOf(
    windows
      .map(({ contrast }) => Math.abs(contrast))
      .sort((p, q) => q - p)
      .slice(0, Math.ceil(windows.length / 2)),
  );
  if (!(most >= LEAST_CONTRAST)) return undefined;
  const sign = Math.sign(windows.reduce((total, { contrast }) => total + contrast, 0));
  const shown = windows.filter(({ contrast }) => sign * contrast > SHOWS * most);
  let seen = alongOne(shown, guess);
  for (let round = 0; ; round++) {
    if (seen.length * WINDOW < LONG * Math.min(length, across)) return undefined;
    const bend = bendOf(seen, length);
    if (bend === undefined) return undefined;
    const near = seen.filter(({ at, off }) => Math.abs(off - placeAt(bend, at, length)) < ASTRAY);
    if (near.length === seen.length || round === 4)
      return near.length === seen.length ? { alongX, bend } : undefined;
    seen = near;
  }
}

/** Those of some places that lie along one straight line near to a guess: by the median of all slopes between two (Theil 1950, Sen 1968). */
function alongOne<P extends { readonly at: number; readonly off: number }>(
  places: readonly P[],
  guess: (at: number) => number,
): P[] {
  const slopes = places.flatMap((a, i) =>
    places.slice(i + 1).map((b) => (b.off - guess(b.at) - a.off + guess(a.at)) / (b.at - a.at)),
  );
  const slope = medianOf(slopes);
  const over = (place: P): number => place.off - guess(place.at) - slope * place.at;
  const level = medianOf(places.map(over));
  return places.filter((place) => Math.abs(over(place) - level) < 2 * ASTRAY);
}

/** Least squares, a little stiff, so that a line seen at one end alone is not bent. */
function bendOf(
  seen: readonly { readonly at: number; readonly off: number }[],
  length: number,
): Float64Array | undefined {
  const [normal, against] = [new Float64Array(9), new Float64Array(3)];
  for (const { at, off } of seen) {
    const t = (2 * at) / length - 1;
    const terms = [1, t, t * t];
    for (let r = 0; r < 3; r++) {
      against[r] += terms[r] * off;
      for (let c = 0; c < 3; c++) normal[3 * r + c] += terms[r] * terms[c];
    }
  }
  normal[8] += 1e-2 * seen.length;
  return solveSymmetric(normal, against);
}

function placeAt(bend: Float64Array, at: number, length: number): number {
  const t = (2 * at) / length - 1;
  return bend[0] + t * (bend[1] + t * bend[2]);
}

/** Where values stand out most to either side of 0, by the middle of what is over half of that, and how far. */
function peakOf(values: Float64Array): { readonly at: number; readonly height: number } {
  let top = 0;
  for (let i = 1; i < values.length; i++) if (Math.abs(values[i]) > Math.abs(values[top])) top = i;
  const half = values[top] / 2;
  const over = (i: number): boolean => half * (values[i] - half) > 0;
  let [low, high] = [top, top];
  while (low > 0 && over(low - 1)) low--;
  while (high + 1 < values.length && over(high + 1)) high++;
  let [sum, weighed] = [0, 0];
  for (let i = low; i <= high; i++) {
    sum += values[i];
    weighed += i * values[i];
  }
  return { at: sum === 0 ? top : weighed / sum, height: values[top] };
}

/** What a line adds across, in the median over the rows of pixels that show it; undefined where it is wider than lines are, or faint. */
function profileOf(pixels: Pixels, { alongX, bend }: Course, reach: number): Profile | undefined {
  const length = alongX ? pixels.width : pixels.height;
  const count = 2 * reach + 1;
  const row = new Float64Array(3 * count);
  const bins = 2 * BINS * reach + 1;
  const values: number[][][] = Array.from({ length: 3 }, () => Array.from({ length: bins }, () => []));
  const rows: { readonly at: number; readonly contrast: number }[] = [];
  const step = Math.max(1, Math.floor(length / PROFILED));
  for (let at = 0; at < length; at += step) {
    const place = placeAt(bend, at, length);
    if (!rowAcross(pixels, alongX, at, place, reach, row)) continue;
    rows.push({ at, contrast: row[reach] + row[count + reach] + row[2 * count + reach] });
  }
  const usual = medianOf(
    rows
      .map(({ contrast }) => Math.abs(contrast))
      .sort((p, q) => q - p)
      .slice(0, Math.ceil(rows.length / 2)),
  );
  const sign = Math.sign(rows.reduce((sum, { contrast }) => sum + contrast, 0));
  for (const { at, contrast } of rows) {
    if (sign * contrast < SHOWS * usual) continue;
    const place = placeAt(bend, at, length);
    rowAcross(pixels, alongX, at, place, reach, row);
    const shift = Math.round(place) - place;
    for (let k = 0; k < count; k++) {
      const bin = Math.round(BINS * (k - reach + shift)) + BINS * reach;
      if (bin < 0 || bin >= bins) continue;
      for (let c = 0; c < 3; c++) values[c][bin].push(row[c * count + k]);
    }
  }
  const [red, green, blue] = values.map((channel) =>
    bridged(Float64Array.from(channel, (some) => (some.length === 0 ? Number.NaN : medianOf(some)))),
  );
  const codes = [red, green, blue] as const;
  const middle = BINS * reach;
  const total = (i: number): number =>
    Math.sign(red[middle] + green[middle] + blue[middle]) * (red[i] + green[i] + blue[i]);
  if (total(middle) < 3 * LEAST_CONTRAST) return undefined;
  let foot = 0;
  while (foot <= middle && Math.max(total(middle - foot), total(middle + foot)) > FOOT * total(middle))
    foot++;
  if (foot > (2 / 3) * middle) return undefined;
  for (const channel of codes) for (let i = 0; i < bins; i++) if (Math.abs(i - middle) > foot) channel[i] = 0;
  return { reach, foot: Math.ceil(foot / BINS), codes };
}

/** Values with those that are not known, where a line lies along the rows of pixels, straight between their neighbours. */
function bridged(values: Float64Array): Float64Array {
  const known = Array.from(values.keys()).filter((i) => !Number.isNaN(values[i]));
  if (known.length === 0) return values.fill(0);
  let next = 0;
  return values.map((value, i) => {
    if (!Number.isNaN(value)) return value;
    while (next < known.length && known[next] < i) next++;
    const [before, after] = [known[Math.max(0, next - 1)], known[Math.min(known.length - 1, next)]];
    if (before === after) return values[before];
    return values[before] + ((i - before) / (after - before)) * (values[after] - values[before]);
  });
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

/** A value between bins, straight from one to the next. */
function valueAt(bins: Float64Array, at: number): number {
  const i = Math.floor(at);
  const low = i < 0 || i >= bins.length ? 0 : bins[i];
  const high = i + 1 < 0 || i + 1 >= bins.length ? 0 : bins[i + 1];
  return low + (at - i) * (high - low);
}

function medianOf(values: readonly number[]): number {
  return values.length === 0 ? 0 : medianInPlace(Float64Array.from(values));
}
