import type { Grid } from './fieldPeak.ts';
import { solveSymmetric } from './leastSquares.ts';
import { quadricTerms } from './quadric.ts';

/** Reach of the window, grains; samples nearer to the crease than the second lie on facets that cut it off. */
const REACH = 3;
const CUT_OFF = 0.45;
/** Of a window no more than about so many samples are looked at. */
const MOST_SAMPLES = 400;
const LEAST_SAMPLES = 24;
/** Directions tried about the one in which the samples bend most, radians, and places of the crease, grains. */
const TURNS = [-0.5, -0.25, 0, 0.25, 0.5];
const PLACES = [-1.25, -1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1, 1.25];
/** Level, slope and bend along the crease; slope and bend across it on either side. */
const TERMS = 7;
/** F statistic (1 extra degree of freedom) from which on a crease is surer than a smooth top: about 1 in 200 by chance. */
const SURE = 8;

/**
 * Height of the crease near a cell: two smooth faces, each a parabola across the crease, that meet along a line whose
 * direction and place are looked for, fitted by least squares to the samples of a window. A smooth fit takes height off a
 * crease, and so do facets that lie across it; faces carried on to where they meet do not. The highest place within a grain.
 *
 * Undefined where a smooth top fits as well, or the window does not hold both faces. It is the likeliest of many that were
 * tried, and so a little high: good to tell what a top may lack, not to take its place.
 */
export function creaseHeight(grid: Grid, column: number, row: number): number | undefined {
  const perCell = Math.max(1, grid.grain / grid.cell);
  const window = samplesIn(grid, column, row, REACH * perCell);
  if (window.length < 3 * LEAST_SAMPLES) return undefined;
  // Distances in grains from here on.
  for (let i = 0; i < window.length; i += 3) {
    window[i] /= perCell;
    window[i + 1] /= perCell;
  }
  const best = bestCrease(window);
  if (best === undefined) return undefined;
  const { angle, place, terms, count } = best;
  // Of the same samples, or the smooth fit would be charged with the band that facets cut off.
  const same = leastSquaresFit(outside(window, angle, place), 6, quadricTerms);
  if (same === undefined) return undefined;
  // Samples between vertices are not independent of them.
  const independent = (Math.PI * REACH ** 2) / (Math.sqrt(3) / 2);
  const freedom = Math.min(count, (independent * count) / (window.length / 3)) - TERMS;
  if (!(freedom > 3) || ((same.squares - best.squares) / best.squares) * freedom < SURE) return undefined;
  const [level, slope, bend, left, , right] = terms;
  // A crest: both faces fall away from it.
  if (!(left > 0 && right < 0)) return undefined;
  const s = bend < 0 ? Math.min(1, Math.max(-1, -slope / (2 * bend))) : Math.sign(slope);
  return level + s * (slope + s * bend);
}

/** The crease that leaves the least scatter, of those about the direction in which a smooth fit bends down most. */
function bestCrease(window: Float64Array): Crease | undefined {
  const smooth = leastSquaresFit(window, 6, quadricTerms);
  if (smooth === undefined) return undefined;
  const [, , , xx, xy, yy] = smooth.terms;
  const across = 0.5 * Math.atan2(xy, xx - yy) + Math.PI / 2;
  let best: Crease | undefined;
  for (const turn of TURNS) {
    for (const place of PLACES) {
      const tried = crease(window, across + turn, place);
      if (tried !== undefined && (best === undefined || tried.mean < best.mean)) best = tried;
    }
  }
  return best;
}

interface Fit {
  readonly terms: Float64Array;
  readonly squares: number;
}

interface Crease extends Fit {
  readonly angle: number;
  readonly place: number;
  readonly count: number;
  readonly mean: number;
}

/** Columns, rows (cells from the middle) and values of a disc's samples: x y v, x y v. */
function samplesIn(
  { values, columns, rows }: Grid,
  column: number,
  row: number,
  radius: number,
): Float64Array {
  const reach = Math.floor(radius);
  const stride = Math.max(1, Math.floor(Math.sqrt((Math.PI * radius * radius) / MOST_SAMPLES)));
  const out: number[] = [];
  const first = -reach + (reach % stride);
  for (let dy = first; dy <= reach; dy += stride) {
    for (let dx = first; dx <= reach; dx += stride) {
      const [c, r] = [column + dx, row + dy];
      if (dx * dx + dy * dy > radius * radius || c < 0 || r < 0 || c >= columns || r >= rows) continue;
      const v = values[r * columns + c];
      if (!Number.isNaN(v)) out.push(dx, dy, v);
    }
  }
  return Float64Array.from(out);
}

/** @param angle of the normal of the crease, @param place of the crease along it, grains */
function crease(window: Float64Array, angle: number, place: number): Crease | undefined {
  const kept = outside(window, angle, place);
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const sides = [0, 0];
  for (let i = 0; i < kept.length; i += 3) sides[kept[i] * cos + kept[i + 1] * sin < place ? 0 : 1]++;
  if (Math.min(...sides) < 10) return undefined;
  const found = leastSquaresFit(kept, TERMS, (x, y, out) => {
    const t = x * cos + y * sin - place;
    const s = -x * sin + y * cos;
    out[0] = 1;
    out[1] = s;
    out[2] = s * s;
    out[3] = Math.min(0, t);
    out[4] = t < 0 ? t * t : 0;
    out[5] = Math.max(0, t);
    out[6] = t < 0 ? 0 : t * t;
  });
  if (found === undefined) return undefined;
  const count = kept.length / 3;
  return { ...found, angle, place, count, mean: found.squares / (count - TERMS) };
}

/** The samples beyond the band that facets cut off. */
function outside(window: Float64Array, angle: number, place: number): Float64Array {
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const kept = new Float64Array(window.length);
  let n = 0;
  for (let i = 0; i < window.length; i += 3) {
    if (Math.abs(window[i] * cos + window[i + 1] * sin - place) < CUT_OFF) continue;
    kept[n] = window[i];
    kept[n + 1] = window[i + 1];
    kept[n + 2] = window[i + 2];
    n += 3;
  }
  return kept.subarray(0, n);
}

/** Least squares by normal equations; undefined where they are singular. */
function leastSquaresFit(
  samples: Float64Array,
  n: number,
  basis: (x: number, y: number, out: Float64Array) => void,
): Fit | undefined {
  const b = new Float64Array(n);
  const normal = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (let i = 0; i < samples.length; i += 3) {
    basis(samples[i], samples[i + 1], b);
    for (let j = 0; j < n; j++) {
      right[j] += b[j] * samples[i + 2];
      for (let k = 0; k <= j; k++) normal[j * n + k] += b[j] * b[k];
    }
  }
  for (let j = 0; j < n; j++) for (let k = j + 1; k < n; k++) normal[j * n + k] = normal[k * n + j];
  const terms = solveSymmetric(normal, right);
  if (terms === undefined) return undefined;
  let squares = 0;
  for (let i = 0; i < samples.length; i += 3) {
    basis(samples[i], samples[i + 1], b);
    let miss = samples[i + 2];
    for (let j = 0; j < n; j++) miss -= terms[j] * b[j];
    squares += miss * miss;
  }
  return { terms, squares };
}
