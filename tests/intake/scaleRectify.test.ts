import { describe, expect, it } from 'vitest';
import { invert3 } from '../../src/geometry/homography.ts';
import type { PhotoScale, Pixels } from '../../src/intake/photoTypes.ts';
import { distort, evenMap, imageToPlane, planeToImage, straighten } from '../../src/intake/scaleMap.ts';
import { rectify } from '../../src/intake/scaleRectify.ts';

/** Red is the column and green the row of each pixel: a colour tells where it came from. */
function graph(width: number, height: number): Pixels {
  const rgba = new Uint8ClampedArray(4 * width * height);
  for (let i = 0; i < width * height; i++) rgba.set([i % width, Math.floor(i / width), 0, 255], 4 * i);
  return { width, height, rgba };
}

function scaleWith(map: PhotoScale['map'], camera?: PhotoScale['camera']): PhotoScale {
  return {
    method: 'typed',
    map,
    pxPerMm: 1,
    relative: 0,
    components: {},
    evidence: { kind: 'typed' },
    warnings: [],
    ...(camera === undefined ? {} : { camera }),
  };
}

describe('the map between image and plane', () => {
  const toImage = Float64Array.of(2, 0.1, 90, 0.05, -1.9, 110, 0.0004, 0.0006, 1);
  const inverse = invert3(toImage);
  const radial = { centreX: 99.5, centreY: 119.5, radius: 155, k: -0.08 };
  const tilted = scaleWith({ toImage, toPlane: inverse.map((v) => v / inverse[8]), radial });

  it('goes there and back, with tilt, distortion and height', () => {
    const stand = {
      height: 400,
      footX: 12,
      footY: -7,
      tilt: 5,
      focal: 900,
      focalSource: 'exif',
      relative: 0,
    } as const;
    const scale = { ...tilted, camera: stand };
    const points = Float64Array.of(10, 20, 150, 200, 99.5, 119.5);
    for (const height of [0, 9]) {
      const back = planeToImage(scale, imageToPlane(scale, points, height), height);
      for (let i = 0; i < points.length; i++) expect(back[i]).toBeCloseTo(points[i], 9);
    }
    // By similar triangles: 9 mm up is seen 400/391 as far from the foot.
    const flat = imageToPlane(scale, points);
    const raised = imageToPlane(scale, points, 9);
    expect((flat[0] - 12) / (raised[0] - 12)).toBeCloseTo(400 / 391, 12);
    expect((flat[1] + 7) / (raised[1] + 7)).toBeCloseTo(400 / 391, 12);
  });

  it('straightens what was distorted, barrel and cushion', () => {
    for (const k of [-0.15, 0, 0.3]) {
      const term = { centreX: 50, centreY: 40, radius: 64, k };
      const points = Float64Array.of(50, 40, 0, 0, 99, 3, 70, 79);
      const bent = Float64Array.from(points);
      distort(term, bent);
      const back = straighten(term, bent);
      for (let i = 0; i < points.length; i++) expect(back[i]).toBeCloseTo(points[i], 9);
    }
  });

  it('draws the plane from straight above: each colour tells the place it came from', () => {
    const photo = graph(200, 240);
    const seen = rectify(photo, tilted, { left: -20, right: 30, bottom: -25, top: 25 }, 2);
    expect([seen.width, seen.height]).toEqual([100, 100]);
    for (const [u, v] of [
      [0, 0],
      [99, 0],
      [50, 50],
      [3, 97],
    ]) {
      const place = Float64Array.of(seen.left + u / 2, seen.top - v / 2);
      const [x, y] = planeToImage(tilted, place);
      const at = 4 * (v * 100 + u);
      expect(Math.abs(seen.rgba[at] - x)).toBeLessThanOrEqual(0.51);
      expect(Math.abs(seen.rgba[at + 1] - y)).toBeLessThanOrEqual(0.51);
    }
  });

  it('is the picture itself when nothing is to be done, and clear where there is no picture', () => {
    const photo = graph(40, 30);
    const scale = scaleWith(evenMap(2, 40, 30));
    const same = rectify(photo, scale, { left: -0.25, right: 19.75, bottom: -14.75, top: 0.25 }, 2);
    expect(same.rgba).toEqual(photo.rgba);
    const beyond = rectify(photo, scale, { left: -10, right: 0.25, bottom: -1, top: 0 }, 2);
    expect(beyond.rgba[3]).toBe(0);
    // Half as large: the mean of columns 0 and 1 is 0.5, of 38 and 39 is 38.5.
    const half = rectify(photo, scale, { left: -0.25, right: 19.75, bottom: -14.75, top: 0.25 }, 1);
    expect(half.width).toBe(20);
    expect(Math.abs(half.rgba[4 * 19] - 38.5)).toBeLessThanOrEqual(0.5);
    expect(() => rectify(photo, scale, { left: 1, right: 1, bottom: 0, top: 1 }, 2)).toThrow(
      /empty or too large/,
    );
  });
});
