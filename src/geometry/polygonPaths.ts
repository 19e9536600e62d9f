import type { Path64 } from 'clipper2-ts';
import type { Points2 } from './types.ts';

/** Coordinates are rounded to whole numbers up to this: products stay exact, and a 400 mm ring is kept to 25 nm. */
const LARGEST = 2 ** 24;

/** By what coordinates of up to `reach` are multiplied to be rounded to whole numbers. */
export function pathScale(reach: number): number {
  return LARGEST / Math.max(reach, Number.MIN_VALUE);
}

/** The greatest coordinate of some rings, in size. */
export function reachOf(rings: readonly Points2[]): number {
  let most = 0;
  for (const ring of rings) for (const value of ring) most = Math.max(most, Math.abs(value));
  return most;
}

export function toPaths(rings: readonly Points2[], scale: number): Path64[] {
  return rings.map((ring) => {
    const path: Path64 = [];
    for (let i = 0; i < ring.length; i += 2) {
      path.push({ x: Math.round(ring[i] * scale), y: Math.round(ring[i + 1] * scale) });
    }
    return path;
  });
}

export function fromPath(path: Path64, scale: number): Points2 {
  const ring = new Float64Array(2 * path.length);
  path.forEach(({ x, y }, i) => {
    ring[2 * i] = x / scale;
    ring[2 * i + 1] = y / scale;
  });
  return ring;
}
