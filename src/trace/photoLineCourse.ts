import { solveSymmetric } from '../geometry/leastSquares.ts';
import { medianInPlace } from '../geometry/median.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import type { Segment } from './photoLines.ts';

/** A line's place is read in windows of so many rows of pixels across it. */
const WINDOW = 48;
/** Of the rows of a window so many are read. */
const ROWS = 8;
/** A place shows the line where its contrast is from this share of the usual up. */
export const SHOWS = 0.5;
/** The line must be seen over this share of the picture's shorter side. */
const LONG = 0.25;
/** A line with less contrast, codes, has nothing taken off. */
export const LEAST_CONTRAST = 4;
/** Windows that lie off the fitted course of the line by more pixels show something else. */
const ASTRAY = 2;
/** Pixels beside a line by which its row is levelled. */
export const SHOULDER = 3;

/** A course that is nearly straight: along x (or y) it runs at a + b·t + c·t², t from −1 to 1 over the picture. */
export interface Course {
  /** Whether places are counted along x. */
  readonly alongX: boolean;
  readonly bend: Float64Array;
}

/** Codes of a row of pixels across a line about `middle`, three channels one after the other, less the straight line between its two ends. */
export function rowAcross(
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
export function courseOf(
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

/** Place of a course across, pixels, where it has come so far along a picture of a length. */
export function placeAt(bend: Float64Array, at: number, length: number): number {
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

/** Median of a list, 0 of none. */
export function medianOf(values: readonly number[]): number {
  return values.length === 0 ? 0 : medianInPlace(Float64Array.from(values));
}
