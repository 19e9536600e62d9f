import type { Pixels } from '../intake/photoTypes.ts';
import { type Course, LEAST_CONTRAST, medianOf, placeAt, rowAcross, SHOWS } from './photoLineCourse.ts';

/** Of a whole line so many rows tell its profile. */
const PROFILED = 300;
/** The profile of a line is as wide as it is more than this share of its contrast. */
const FOOT = 0.06;
/** Pixels to a bin of a profile, one over. */
export const BINS = 2;

/** What a line adds to the codes of three channels at offsets across it, from −reach on, BINS to a pixel. */
export interface Profile {
  readonly reach: number;
  /** How far to either side it is more than nothing, pixels. */
  readonly foot: number;
  readonly codes: readonly [Float64Array, Float64Array, Float64Array];
}

/** What a line adds across, in the median over the rows of pixels that show it; undefined where it is wider than lines are, or faint. */
export function profileOf(pixels: Pixels, { alongX, bend }: Course, reach: number): Profile | undefined {
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

/** A value between bins, straight from one to the next. */
export function valueAt(bins: Float64Array, at: number): number {
  const i = Math.floor(at);
  const low = i < 0 || i >= bins.length ? 0 : bins[i];
  const high = i + 1 < 0 || i + 1 >= bins.length ? 0 : bins[i + 1];
  return low + (at - i) * (high - low);
}
