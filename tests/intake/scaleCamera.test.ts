import { describe, expect, it } from 'vitest';
import { fitHomography } from '../../src/geometry/homography.ts';
import type { CameraStand } from '../../src/intake/photoTypes.ts';
import {
  focalPixels,
  inverseFocalSquare,
  parallaxRelative,
  settleFocal,
  standOf,
} from '../../src/intake/scaleCamera.ts';
import { noRadial } from '../../src/intake/scaleMap.ts';
import { type CameraSpec, createCamera } from '../pieces/photoCamera.ts';

const SPEC: CameraSpec = {
  width: 900,
  height: 700,
  focal: 1100,
  distance: 420,
  tilt: 14,
  azimuth: 35,
  roll: 110,
};

/** The exact homography of a camera, plane mm to pixels, through the corners of a square. */
function homographyOf(spec: CameraSpec): Float64Array {
  const camera = createCamera(spec);
  const plane = Float64Array.of(-90, -120, 90, -120, 90, 120, -90, 120);
  const image = plane.map((_, i) => camera.toImage(plane[i & ~1], plane[i | 1], 0)[i & 1]);
  const h = fitHomography(plane, image)!;
  return h.map((value) => value / h[8]);
}

const known = (focal: number) => ({ focal, source: 'exif', relative: 0.04, contradicted: false }) as const;

describe('where the camera stood', () => {
  it('follows from the homography and the focal length, whichever way the camera was turned', () => {
    for (const [tilt, azimuth, roll] of [
      [0, 0, 0],
      [14, 35, 110],
      [29, 250, 300],
    ]) {
      const spec = { ...SPEC, tilt, azimuth, roll };
      const [x, y, z] = createCamera(spec).centre;
      const stand = standOf(homographyOf(spec), noRadial(spec.width, spec.height), known(spec.focal));
      expect(stand.height).toBeCloseTo(z, 6);
      expect(stand.footX).toBeCloseTo(x, 6);
      expect(stand.footY).toBeCloseTo(y, 6);
      expect(stand.tilt).toBeCloseTo(tilt, 4);
    }
  });

  it('has its focal length in the tilt: 1/f² is exact for an exact homography', () => {
    const radial = noRadial(SPEC.width, SPEC.height);
    expect(1 / Math.sqrt(inverseFocalSquare(homographyOf(SPEC), radial))).toBeCloseTo(SPEC.focal, 4);
  });
});

describe('the focal length', () => {
  const radius = 570;
  const film = (pixels: number): number => (pixels * Math.hypot(36, 24)) / (2 * radius);
  const seen = (pixels: number, relative: number) => ({
    value: pixels ** -2,
    u: 2 * relative * pixels ** -2,
  });

  it('by EXIF is of the diagonal: 43.27 mm on film is one diagonal', () => {
    expect(focalPixels(Math.hypot(36, 24), radius)).toBeCloseTo(2 * radius, 9);
  });

  it('is EXIF’s when the tilt tells nothing, and assumed with a wide uncertainty when nothing does', () => {
    const nothing = { value: -1e-9, u: 1e-6 };
    expect(settleFocal(film(1000), radius, nothing)).toMatchObject({
      source: 'exif',
      focal: expect.closeTo(1000, 6),
    });
    const assumed = settleFocal(undefined, radius, nothing);
    expect(assumed.source).toBe('assumed');
    expect(assumed.relative).toBeGreaterThan(0.3);
  });

  it('lies between EXIF and a tilt that agrees, nearer to the surer one, and is surer than either', () => {
    const both = settleFocal(film(1000), radius, seen(1060, 0.02));
    expect(both.source).toBe('exif');
    expect(both.focal).toBeGreaterThan(1030);
    expect(both.focal).toBeLessThan(1060);
    expect(both.relative).toBeLessThan(0.036);
    expect(settleFocal(undefined, radius, seen(1060, 0.02)).source).toBe('tilt');
  });

  it('is the tilt’s when a telling tilt rules EXIF out, as in a cropped picture', () => {
    const cropped = settleFocal(film(1000), radius, seen(1500, 0.01));
    expect(cropped).toMatchObject({ source: 'tilt', contradicted: true, focal: expect.closeTo(1500, 6) });
    expect(settleFocal(film(1000), radius, seen(1500, 0.4)).contradicted).toBe(false);
  });
});

describe('what parallax adds to the uncertainty', () => {
  it('is the derivative of (Z − h)/Z, checked by differences', () => {
    const stand: CameraStand = {
      height: 400,
      footX: 0,
      footY: 0,
      tilt: 0,
      focal: 1000,
      focalSource: 'exif',
      relative: 0.04,
    };
    const logLength = (z: number, h: number): number => Math.log((z - h) / z);
    const byZ = ((logLength(400.001, 6) - logLength(399.999, 6)) / 0.002) * 0.04 * 400;
    const byH = (logLength(400, 6.001) - logLength(400, 5.999)) / 0.002;
    expect(parallaxRelative(stand, 6, 0)).toBeCloseTo(byZ, 8);
    expect(parallaxRelative(stand, 6, 1.5)).toBeCloseTo(Math.hypot(byZ, 1.5 * byH), 8);
  });
});
