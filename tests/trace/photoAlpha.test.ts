import { expect, it } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { piecesOfAlpha } from '../../src/trace/photoAlpha.ts';
import { countingOpencv, loadOpencv } from '../intake/support/opencv.ts';

/** Discs x, y, radius; alpha is the covered share of a pixel, by 8 × 8 samples. */
function discs(width: number, height: number, places: readonly (readonly [number, number, number])[]) {
  const rgba = new Uint8ClampedArray(4 * width * height);
  for (let i = 0; i < width * height; i++) {
    let hits = 0;
    for (let s = 0; s < 64; s++) {
      const x = (i % width) + ((s & 7) + 0.5) / 8 - 0.5;
      const y = Math.floor(i / width) + ((s >> 3) + 0.5) / 8 - 0.5;
      if (places.some(([cx, cy, r]) => Math.hypot(x - cx, y - cy) < r)) hits++;
    }
    rgba[4 * i + 3] = (hits / 64) * 255;
  }
  return { width, height, rgba };
}

it('finds the solid places, greatest first, to a tenth of a pixel, and leaves specks and no matrix behind', async () => {
  const { cv, alive } = countingOpencv((await loadOpencv()).cv);
  const places = [
    [50.3, 60.7, 30],
    [150.6, 61.2, 42.4],
    [15, 12, 3],
  ] as const;
  const found = piecesOfAlpha(discs(210, 120, places), cv);
  expect(found).toHaveLength(2);
  for (const [k, [x, y, r]] of [places[1], places[0]].entries()) {
    const { ring } = found[k];
    const misses = Float64Array.from({ length: ring.length / 2 }, (_, i) =>
      Math.abs(Math.hypot(ring[2 * i] - x, ring[2 * i + 1] - y) - r),
    );
    expect(Math.max(...misses)).toBeLessThan(0.1);
    expect(Math.abs(polygonMoments([ring]).area) / (Math.PI * r * r)).toBeCloseTo(1, 2);
  }
  expect(piecesOfAlpha(discs(40, 40, []), cv)).toEqual([]);
  expect(alive()).toBe(0);
});
