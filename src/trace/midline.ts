import type { Points2 } from '../geometry/types.ts';
import type { Midline, Outline } from './types.ts';

/**
 * Chords of an outline in the specimen frame at `count` equally spaced stations, outermost margins.
 * At the two ends the chord is what the outline has at its extreme y: a point, or a straight base's whole width.
 */
export function traceMidline(outline: Outline, length: number, count: number): Midline {
  const station = new Float64Array(count);
  const y = new Float64Array(count);
  const leftX = new Float64Array(count).fill(Infinity);
  const rightX = new Float64Array(count).fill(-Infinity);
  const crossings = new Uint32Array(count);
  const last = count - 1;
  for (let k = 0; k < count; k++) {
    station[k] = (100 * k) / last;
    y[k] = (length * k) / last;
  }
  const take = (k: number, x: number): void => {
    if (x < leftX[k]) leftX[k] = x;
    if (x > rightX[k]) rightX[k] = x;
  };
  for (const ring of [outline.outer, ...outline.inner]) {
    eachCrossing(ring, last / length, (k, x) => {
      if (k <= 0 || k >= last) return;
      crossings[k]++;
      take(k, x);
    });
  }
  const eps = 1e-9 * length;
  for (let i = 0; i < outline.outer.length; i += 2) {
    if (outline.outer[i + 1] <= eps) take(0, outline.outer[i]);
    if (outline.outer[i + 1] >= length - eps) take(last, outline.outer[i]);
  }
  const x = new Float64Array(count);
  const several = new Uint8Array(count);
  for (let k = 0; k < count; k++) {
    x[k] = (leftX[k] + rightX[k]) / 2;
    several[k] = crossings[k] > 2 ? 1 : 0;
  }
  return { station, y, leftX, rightX, x, several };
}

/** Calls back for each crossing of a ring with the rows y = k / perUnit, k whole. */
function eachCrossing(ring: Points2, perUnit: number, each: (k: number, x: number) => void): void {
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const j = i + 2 === n ? 0 : i + 2;
    const a = ring[i + 1] * perUnit;
    const b = ring[j + 1] * perUnit;
    if (a === b) continue;
    // Half-open in y, so that a row through a corner counts it once.
    const high = Math.ceil(Math.max(a, b));
    for (let k = Math.ceil(Math.min(a, b)); k < high; k++) {
      each(k, ring[i] + ((ring[j] - ring[i]) * (k - a)) / (b - a));
    }
  }
}

/** x of the midline at height y, straight between stations. */
export function midlineAt(midline: Midline, length: number, y: number): number {
  const last = midline.x.length - 1;
  const at = Math.min(last, Math.max(0, (y / length) * last));
  const k = Math.min(last - 1, Math.floor(at));
  const f = at - k;
  return midline.x[k] * (1 - f) + midline.x[k + 1] * f;
}
