import { nearestOnRing } from '../../src/geometry/polygonDistance.ts';
import { maskInside } from '../../src/geometry/polygonMask.ts';
import type { Points2 } from '../../src/geometry/types.ts';

/** Overlap of two regions, intersection over union, on the pixels of a picture. */
export function ringOverlap(ring: Points2, truth: Points2, width: number, height: number): number {
  const grid = { x0: 0, y0: 0, cell: 1, columns: width, rows: height };
  const [a, b] = [maskInside([ring], grid), maskInside([truth], grid)];
  let [both, either] = [0, 0];
  for (let i = 0; i < a.length; i++) {
    both += a[i] & b[i];
    either += a[i] | b[i];
  }
  return both / either;
}

/** RMS distance of a ring's points from another ring. */
export function ringRms(ring: Points2, truth: Points2): number {
  const nearest = nearestOnRing(truth);
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) sum += nearest(ring[i], ring[i + 1]).squared;
  return Math.sqrt(sum / (ring.length / 2));
}
