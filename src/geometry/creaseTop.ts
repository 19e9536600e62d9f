import type { Grid } from './calmField.ts';
import { CREASE_TERMS, type CreaseFit, CreaseMoments } from './creaseMoments.ts';
import { fitQuadric } from './quadric.ts';

/**
 * Reaches of the windows, grains: a wider one has more to say of a weak crease, and is led astray more by what lies beside it.
 * The narrow one is looked into only where neither of the others holds a crease: where others cross it near by.
 */
const REACHES = [3, 4.5, 2.2];
/** An F statistic from which on no wider window is asked, and how much more a wider one must say. */
const ENOUGH = 30;
const MORE = 1.3;
/** Samples nearer to the crease than this, grains, lie on facets that cut it off; */
const CUT_OFF = 0.5;
/** where facets are uneven, in size or from one way to another, more of them. */
const FAR_CUT_OFF = 1;
/** Of a window no more than about so many samples are looked at. */
const MOST_SAMPLES = 400;
const LEAST_SAMPLES = 24;
const LEAST_A_SIDE = 10;
/** Directions tried about the one in which the samples bend most, radians. */
const TURNS = [-0.5, -0.25, 0, 0.25, 0.5];
/** Places of the crease tried: so far from the middle and in steps of, grains; bins that samples are sorted into; steps along a row. */
const FARTHEST = 1.25;
const STEP = 0.25;
const BIN = 0.25;
const FINE = 0.05;
/** Standard deviations from which on a crease is surer than a smooth top: about 1 in 2000 by chance, of many that are tried. */
const SURE = 3.46;

/** The height of a crease. */
export interface CreaseTop {
  readonly value: number;
  /** Standard error of `value`. */
  readonly error: number;
  /** How sure it is that the top is a crease and not smooth, 0 to 1. */
  readonly trust: number;
  /** How far its faces fall away from it within a grain, their mean. */
  readonly fall: number;
}

/**
 * Height of the crease near a cell: two smooth faces, each a parabola across the crease, that meet along a line whose
 * direction and place are looked for, fitted by least squares to the samples of a window. A smooth fit takes height off a
 * crease, and so do facets that lie across it; faces carried on to where they meet do not. The highest place within a grain
 * of the cell, or of the cell's row where only that counts.
 *
 * Undefined where a smooth top fits as well, or the window does not hold both faces.
 */
export function creaseTop(grid: Grid, column: number, row: number, inRow: boolean): CreaseTop | undefined {
  let best: (CreaseTop & { readonly evidence: number }) | undefined;
  for (const reach of REACHES) {
    if (best !== undefined && (best.evidence > ENOUGH || reach < REACHES[0])) break;
    const found = within(grid, column, row, reach, CUT_OFF, inRow);
    if (found !== undefined && (best === undefined || found.evidence > MORE * best.evidence)) best = found;
  }
  return best;
}

/** The same of samples without noise: by the narrow window, and by a wide one that leaves out what larger facets cut off. */
export function cleanCreaseTops(
  grid: Grid,
  column: number,
  row: number,
  inRow: boolean,
): readonly (CreaseTop | undefined)[] {
  return [
    within(grid, column, row, REACHES[0], CUT_OFF, inRow),
    within(grid, column, row, REACHES[1], FAR_CUT_OFF, inRow),
  ];
}

function within(
  grid: Grid,
  column: number,
  row: number,
  reach: number,
  cutOff: number,
  inRow: boolean,
): (CreaseTop & { readonly evidence: number }) | undefined {
  const perCell = Math.max(1, grid.grain / grid.cell);
  const { samples, mean } = samplesIn(grid, column, row, reach * perCell, perCell);
  const count = samples.length / 3;
  if (count < LEAST_SAMPLES) return undefined;
  const best = bestCrease(samples, reach, cutOff);
  if (best === undefined) return undefined;
  // Of the same samples, or the smooth fit would be charged with the band that facets cut off.
  const smooth = fitQuadric(outside(samples, best.angle, best.place, cutOff));
  if (smooth === undefined) return undefined;
  // Samples between vertices are not independent of them.
  const independent = (Math.PI * reach ** 2) / (Math.sqrt(3) / 2);
  const worth = Math.min(1, independent / count) * best.count;
  const freedom = worth - CREASE_TERMS;
  if (!(freedom > 3)) return undefined;
  const evidence = ((smooth.squares - best.squares) / best.squares) * freedom;
  const needed = criticalF(freedom);
  const [, , , lower, , upper] = best.terms;
  // A crest: both faces fall away from it.
  if (!(evidence > needed && lower > 0 && upper < 0)) return undefined;
  const { value, s } = inRow ? highestInRow(best) : highestAlong(best);
  const sample = best.squares / (best.count - CREASE_TERMS);
  return {
    value: mean + value,
    error: Math.sqrt(best.variance(s) * sample * (best.count / worth)),
    trust: 1 - needed / evidence,
    fall: (lower - upper) / 2,
    evidence,
  };
}

/**
 * F with one degree of freedom over `freedom` that is as seldom as SURE is of a normal: Fisher's expansion of Student's t in
 * 1/freedom (Abramowitz & Stegun 1964, 26.7.5; memory), to its third power within 4 % from 6 degrees of freedom on.
 */
export function criticalF(freedom: number): number {
  const x = SURE;
  const g1 = (x ** 3 + x) / 4;
  const g2 = (5 * x ** 5 + 16 * x ** 3 + 3 * x) / 96;
  const g3 = (3 * x ** 7 + 19 * x ** 5 + 17 * x ** 3 - 15 * x) / 384;
  return (x + g1 / freedom + g2 / freedom ** 2 + g3 / freedom ** 3) ** 2;
}

/** The crease that leaves the least scatter, of those about the direction in which a smooth fit bends down most. */
function bestCrease(samples: Float64Array, reach: number, cutOff: number): CreaseFit | undefined {
  const smooth = fitQuadric(samples);
  if (smooth === undefined) return undefined;
  const [, , , xx, xy, yy] = smooth.terms;
  const across = 0.5 * Math.atan2(xy, xx - yy) + Math.PI / 2;
  let least = Infinity;
  let tried = new CreaseMoments(reach, BIN);
  let best = new CreaseMoments(reach, BIN);
  let at = 0;
  for (const turn of TURNS) {
    tried.gather(samples, across + turn);
    const before = least;
    for (let place = -FARTHEST; place <= FARTHEST; place += STEP) {
      const scatter = tried.scatter(place, cutOff, LEAST_A_SIDE);
      if (!(scatter < least)) continue;
      least = scatter;
      at = place;
    }
    // The next is gathered over the one that was worse.
    if (least < before) [tried, best] = [best, tried];
  }
  return least < Infinity ? best.fit(at, cutOff, LEAST_A_SIDE) : undefined;
}

interface Highest {
  readonly value: number;
  /** Place along the crease. */
  readonly s: number;
}

const along = ([level, slope, bend]: Float64Array, s: number): number => level + s * (slope + s * bend);

function highestAlong({ terms }: CreaseFit): Highest {
  const [, slope, bend] = terms;
  const s = bend < 0 ? Math.min(1, Math.max(-1, -slope / (2 * bend))) : Math.sign(slope);
  return { value: along(terms, s), s };
}

/** The highest place of both faces on the row through the window's middle. */
function highestInRow({ terms, angle, place }: CreaseFit): Highest {
  const [, , , lower, lowerBend, upper, upperBend] = terms;
  let best: Highest = { value: Number.NEGATIVE_INFINITY, s: 0 };
  for (let x = -FARTHEST; x <= FARTHEST; x += FINE) {
    const t = x * Math.cos(angle) - place;
    const s = -x * Math.sin(angle);
    const value = along(terms, s) + (t < 0 ? t * (lower + t * lowerBend) : t * (upper + t * upperBend));
    if (value > best.value) best = { value, s };
  }
  return best;
}

/** A disc's samples, x y v: places in grains from the middle, values from their mean. */
function samplesIn(
  { values, columns, rows }: Grid,
  column: number,
  row: number,
  radius: number,
  perCell: number,
): { readonly samples: Float64Array; readonly mean: number } {
  const reach = Math.floor(radius);
  const stride = Math.max(1, Math.floor(Math.sqrt((Math.PI * radius * radius) / MOST_SAMPLES)));
  const out: number[] = [];
  const first = -reach + (reach % stride);
  let sum = 0;
  for (let dy = first; dy <= reach; dy += stride) {
    for (let dx = first; dx <= reach; dx += stride) {
      const c = column + dx;
      const r = row + dy;
      if (dx * dx + dy * dy > radius * radius || c < 0 || r < 0 || c >= columns || r >= rows) continue;
      const v = values[r * columns + c];
      if (Number.isNaN(v)) continue;
      out.push(dx / perCell, dy / perCell, v);
      sum += v;
    }
  }
  const samples = Float64Array.from(out);
  const mean = (3 * sum) / samples.length;
  for (let i = 2; i < samples.length; i += 3) samples[i] -= mean;
  return { samples, mean };
}

/** The samples beyond the band that facets cut off. */
function outside(samples: Float64Array, angle: number, place: number, cutOff: number): Float64Array {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const kept = new Float64Array(samples.length);
  let n = 0;
  for (let i = 0; i < samples.length; i += 3) {
    if (Math.abs(samples[i] * cos + samples[i + 1] * sin - place) < cutOff) continue;
    kept[n] = samples[i];
    kept[n + 1] = samples[i + 1];
    kept[n + 2] = samples[i + 2];
    n += 3;
  }
  return kept.subarray(0, n);
}
