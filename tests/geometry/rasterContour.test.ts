import { describe, expect, it } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { greatestContour } from '../../src/geometry/rasterContour.ts';
import { loadOpencv } from '../intake/support/opencv.ts';
import { createRandom } from '../pieces/random.ts';

describe('greatestContour', () => {
  it('goes round a box through the centres of its cells, whatever holes it has', () => {
    const mask = new Uint8Array(6 * 5);
    for (const [x, y] of [
      [1, 1],
      [2, 1],
      [3, 1],
      [1, 2],
      [3, 2],
      [1, 3],
      [2, 3],
      [3, 3],
    ])
      mask[y * 6 + x] = 1;
    const ring = greatestContour(mask, 6)!;
    expect([...ring]).toEqual([1, 1, 2, 1, 3, 1, 3, 2, 3, 3, 2, 3, 1, 3, 1, 2]);
    expect(greatestContour(new Uint8Array(30), 6)).toBeUndefined();
    // One cell, or one row of cells, encloses nothing.
    expect(greatestContour(Uint8Array.of(0, 1, 1, 1, 0, 0), 6)).toBeUndefined();
  });

  it('is the greatest of the contours that OpenCV finds, on 40 random masks up to the rim, seed 3', async () => {
    const { cv } = await loadOpencv();
    const random = createRandom(3);
    for (let round = 0; round < 40; round++) {
      const [width, height] = [20 + 3 * round, 60];
      const share = random.between(0.45, 0.7);
      const mask = Uint8Array.from({ length: width * height }, () => (random.next() < share ? 1 : 0));
      const from = new cv.Mat(height, width, cv.CV_8UC1);
      from.data.set(mask);
      const [contours, hierarchy] = [new cv.MatVector(), new cv.Mat()];
      cv.findContours(from, contours, hierarchy, cv.RETR_EXTERNAL, cv.CHAIN_APPROX_NONE);
      let [most, points] = [0, 0];
      for (let i = 0; i < contours.size(); i++) {
        const contour = contours.get(i);
        const area =
          contour.rows > 2 ? Math.abs(polygonMoments([Float64Array.from(contour.data32S)]).area) : 0;
        if (area > most) [most, points] = [area, contour.rows];
        contour.delete();
      }
      for (const made of [from, contours, hierarchy]) made.delete();
      const ring = greatestContour(mask, width)!;
      expect(polygonMoments([ring]).area).toBe(most);
      expect(ring.length / 2).toBe(points);
    }
  });
});
