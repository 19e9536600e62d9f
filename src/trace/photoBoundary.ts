import { planarCurve, resampleRing } from '../geometry/curvePlanar.ts';
import type { Points2 } from '../geometry/types.ts';
import type { EdgeReader, Unrest } from './photoEdge.ts';

/** How a coarse ring is drawn to the edge that the picture shows. All lengths in pixels of the whole picture. */
export interface BoundarySettings {
  /** How far the coarse ring may lie from the edge. */
  readonly error: number;
}

export interface FineBoundary {
  /** Closed ring, one point about every pixel, same direction as the coarse one. */
  readonly ring: Points2;
  /** Share of the points, 0…1, at which an edge was found; the others stand where their neighbours say. */
  readonly found: number;
  /** Standard deviation of single edge readings about their neighbours, pixels: how rough the edge reads. */
  readonly noise: number;
  /**
   * Root mean square by which readings change when they look a quarter farther out: what texture, facets and corners do
   * to them, pixels. About as large as the ring's own error.
   */
  readonly stray: number;
  /** The same about each point of the ring. */
  readonly strays: Float64Array;
}

/** Length either way over which a pass smooths and takes its normals, in shares of its reach. */
const SMOOTH = 0.5;
/** Reach of the last pass, pixels: narrow, so that neighbouring texture has no say and notches are kept. */
const LAST = 4;
/** Readings this far from the median of their neighbours are not the same edge, pixels. */
const STRAY = 1.5;
/** Neighbours to either side that a reading is compared with. */
const NEIGHBOURS = 4;
/** Every so many points are read until the last pass, which draws the ring, and after it. */
const EVERY = 2;
/** How much farther out the readings look that the last ones are compared with, and what counts for one at most, pixels. */
const WIDER = 1.25;
const MOST_STRAY = 3;
/** Points to either side whose strays are taken together. */
const ABOUT = 10;

/**
 * Draws a coarse closed ring (x y pairs, pixels) to the edge that it follows: along the normal of every point the edge
 * is read, wide first and then narrow, in the last pass at every one. Where no edge is seen the neighbours' offsets
 * are carried on. The ring must have at least three points.
 */
export function refineBoundary(edges: EdgeReader, coarse: Points2, settings: BoundarySettings): FineBoundary {
  let ring = coarse;
  let [found, noise] = [0, 0];
  let unrest: Unrest | undefined;
  const wide = Math.max(LAST, 2 * settings.error);
  const reaches = wide > LAST ? [wide, LAST, LAST] : [LAST, LAST];
  for (const [pass, reach] of reaches.entries()) {
    const every = pass + 1 < reaches.length ? EVERY : 1;
    const half = Math.max(1, Math.round(SMOOTH * reach));
    // A late pass has a fine ring already: smoothing that would round its notches.
    ring = reach === LAST && ring !== coarse ? everyPixel(ring) : smoothed(everyPixel(ring), half);
    const normals = normalsOf(ring, half);
    unrest = reach > LAST ? undefined : edges.unrestAlong?.(ring, normals);
    const read = readOffsets(edges, ring, normals, reach, every, unrest);
    const n = ring.length / 2;
    const next = new Float64Array(2 * n);
    const offsets = carried(read.offsets);
    for (let i = 0; i < 2 * n; i++) next[i] = ring[i] + offsets[i >> 1] * normals[i];
    ring = next;
    found = read.found;
    noise = roughness(read.offsets);
  }
  return { ring, found, noise, ...strayOf(edges, ring, unrest) };
}

/** Root mean squares of readings a little wider than the last, with the unrest of these, of all and about each point; NaN where no edge is seen. */
function strayOf(
  edges: EdgeReader,
  ring: Points2,
  unrest: Unrest | undefined,
): Pick<FineBoundary, 'stray' | 'strays'> {
  const n = ring.length / 2;
  const normals = normalsOf(ring, Math.round(SMOOTH * LAST));
  const squares = new Float64Array(n);
  const read = new Uint8Array(n);
  const offsets = edges.along(ring, normals, WIDER * LAST, EVERY, unrest);
  let [all, found] = [0, 0];
  for (let i = 0; i < n; i += EVERY) {
    if (Number.isNaN(offsets[i])) continue;
    const away = Math.min(MOST_STRAY, Math.abs(offsets[i]));
    squares[i] = away * away;
    read[i] = 1;
    all += squares[i];
    found++;
  }
  const strays = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let sum = 0;
    let count = 0;
    for (let k = 0, j = (i - ABOUT + ABOUT * n) % n; k <= 2 * ABOUT; k++) {
      sum += squares[j];
      count += read[j];
      if (++j === n) j = 0;
    }
    strays[i] = Math.sqrt(sum / count);
  }
  return { stray: Math.sqrt(all / found), strays };
}

/** The ring with points a pixel apart. */
function everyPixel(ring: Points2): Points2 {
  const curve = planarCurve(ring);
  return resampleRing(curve, Math.max(8, Math.round(curve.length)));
}

/** Means of ±`half` points. */
function smoothed(ring: Points2, half: number): Points2 {
  const n = ring.length / 2;
  const out = new Float64Array(2 * n);
  const share = 1 / (2 * half + 1);
  for (let i = 0; i < n; i++) {
    let x = 0;
    let y = 0;
    for (let k = -half; k <= half; k++) {
      const j = (i + k + n * (1 + half)) % n;
      x += ring[2 * j];
      y += ring[2 * j + 1];
    }
    out[2 * i] = x * share;
    out[2 * i + 1] = y * share;
  }
  return out;
}

/** Unit normals (x y pairs), from chords over ±`half` points. */
function normalsOf(ring: Points2, half: number): Points2 {
  const n = ring.length / 2;
  const out = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    const a = (i - half + n * (1 + half)) % n;
    const b = (i + half) % n;
    const dx = ring[2 * b] - ring[2 * a];
    const dy = ring[2 * b + 1] - ring[2 * a + 1];
    const length = Math.sqrt(dx * dx + dy * dy) || 1;
    out[2 * i] = dy / length;
    out[2 * i + 1] = -dx / length;
  }
  return out;
}

/** Offsets along the normals; NaN between those points, where no edge is seen or where it strays. */
function readOffsets(
  edges: EdgeReader,
  ring: Points2,
  normals: Points2,
  reach: number,
  every: number,
  unrest: Unrest | undefined,
) {
  const n = ring.length / 2;
  const offsets = edges.along(ring, normals, reach, every, unrest);
  const kept = new Float64Array(n).fill(NaN);
  let found = 0;
  for (let i = 0; i < n; i++) {
    if (!isNearMedian(offsets, i)) continue;
    kept[i] = offsets[i];
    found++;
  }
  return { offsets: kept, found: found / n };
}

/** Whether a reading lies within STRAY of the median (the upper of two) of the readings among its neighbours and itself. */
function isNearMedian(values: Float64Array, at: number): boolean {
  const n = values.length;
  const low = values[at] - STRAY;
  const high = values[at] + STRAY;
  let count = 0;
  let below = 0;
  let upTo = 0;
  for (let k = 0, i = (at - NEIGHBOURS + NEIGHBOURS * n) % n; k <= 2 * NEIGHBOURS; k++) {
    const value = values[i];
    if (++i === n) i = 0;
    if (Number.isNaN(value)) continue;
    count++;
    if (value < low) below++;
    if (value <= high) upTo++;
  }
  const rank = count >> 1;
  return below <= rank && upTo > rank;
}

/** Gaps filled straight from the last reading to the next one round the ring; 0 everywhere when there is none. */
function carried(offsets: Float64Array): Float64Array {
  const n = offsets.length;
  const out = offsets.slice();
  const first = offsets.findIndex((offset) => !Number.isNaN(offset));
  if (first < 0) return out.fill(0);
  let last = first;
  for (let k = first + 1; k <= first + n; k++) {
    const value = offsets[k % n];
    if (Number.isNaN(value)) continue;
    const from = offsets[last % n];
    for (let m = last + 1; m < k; m++) out[m % n] = from + ((value - from) * (m - last)) / (k - last);
    last = k;
  }
  return out;
}

/** From second differences: white noise σ has √6·σ in them. */
function roughness(offsets: Float64Array): number {
  const n = offsets.length;
  let [sum, count] = [0, 0];
  for (let i = 0; i < n; i++) {
    const bend = offsets[(i + n - 1) % n] - 2 * offsets[i] + offsets[(i + 1) % n];
    if (Number.isNaN(bend)) continue;
    sum += bend * bend;
    count++;
  }
  return count > 0 ? Math.sqrt(sum / count / 6) : NaN;
}
