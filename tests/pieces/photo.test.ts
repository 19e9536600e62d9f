import { describe, expect, it } from 'vitest';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import { makePhoto } from './photo.ts';
import { createCamera } from './photoCamera.ts';
import { placedRing } from './photoScene.ts';

const SQUARE = Float64Array.of(-10, -10, 10, -10, 10, 10, -10, 10);

describe('the picture maker', () => {
  it('projects as similar triangles say: straight down, 300 mm away, 1500 px focal length', () => {
    const camera = createCamera({ width: 801, height: 601, focal: 1500, distance: 300 });
    const [x, y] = camera.toImage(10, 20, 0);
    expect(x).toBeCloseTo(400 + 50, 10);
    expect(y).toBeCloseTo(300 - 100, 10);
    const [raised] = camera.toImage(10, 20, 30);
    expect(raised).toBeCloseTo(400 + (10 * 1500) / 270, 10);
  });

  it('finds its way back from the image to the plane, with tilt, roll and distortion', () => {
    const camera = createCamera({
      width: 900,
      height: 700,
      focal: 1000,
      distance: 350,
      tilt: 25,
      azimuth: 130,
      roll: 77,
      k1: -0.2,
      look: [5, -8],
    });
    const [u, v] = camera.toImage(40, -30, 6);
    const [x, y] = camera.toPlane(u, v, 6);
    expect(x).toBeCloseTo(40, 8);
    expect(y).toBeCloseTo(-30, 8);
    const [cx, cy] = camera.toImage(5, -8, 0);
    expect([cx, cy]).toEqual([expect.closeTo(449.5, 9), expect.closeTo(349.5, 9)]);
  });

  it('covers as much of the picture with a piece as the seen ring encloses, to 0.2 %', () => {
    const { pixels, seen } = makePhoto({
      camera: { width: 400, height: 300, focal: 1500, distance: 300, tilt: 15, azimuth: 20, roll: 30 },
      light: { backdrop: 'black' },
      pieces: [{ outline: SQUARE, place: { x: 3, y: -4, angle: 12 }, height: 8, stone: 'pale' }],
      seed: 1,
      blur: 0,
      noise: 0,
    });
    // Pale stone is textured by ±20 % about 0.5: half of it parts the piece from the black to about 0.05 pixels.
    let covered = 0;
    for (let i = 0; i < pixels.rgba.length; i += 4) if (linear(pixels.rgba[i]) > 0.25) covered++;
    const area = Math.abs(polygonMoments([seen[0]]).area);
    expect(Math.abs(covered / area - 1)).toBeLessThan(0.002);
  });

  it('turns and moves a ring', () => {
    const ring = placedRing(SQUARE, { x: 100, y: 50, angle: 90 });
    expect([...ring.slice(0, 2)]).toEqual([expect.closeTo(110, 10), expect.closeTo(40, 10)]);
  });
});

function linear(code: number): number {
  const c = code / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}
