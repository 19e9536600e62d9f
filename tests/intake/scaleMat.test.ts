import { beforeAll, describe, expect, it } from 'vitest';
import type { Cv } from '../../src/intake/photoOpencv.ts';
import type { Photo, PhotoScale } from '../../src/intake/photoTypes.ts';
import { imageToPlane, planeToImage } from '../../src/intake/scaleMap.ts';
import { findMat } from '../../src/intake/scaleMat.ts';
import { CODES, decodeCells } from '../../src/intake/scaleMatCodes.ts';
import { MARKER_SIDE, matLayout } from '../../src/intake/scaleMatLayout.ts';
import { DEFAULT_SCALE_SETTINGS } from '../../src/intake/settings.ts';
import { asPhoto, type MadePhoto, makePhoto, type PhotoSpec } from '../pieces/photo.ts';
import { countingOpencv, loadOpencv } from './support/opencv.ts';

let cv: Cv;
beforeAll(async () => {
  ({ cv } = await loadOpencv());
});

function take(spec: Partial<PhotoSpec> & Pick<PhotoSpec, 'camera'>): MadePhoto {
  return makePhoto({ mat: 'A4', seed: 3, light: { backdrop: 'wood', falloff: 0.4 }, ...spec });
}

function scaleOf(photo: Photo): PhotoScale {
  const scale = findMat(photo, DEFAULT_SCALE_SETTINGS, cv);
  expect(scale).toBeDefined();
  return scale!;
}

/** Greatest relative error of lengths of 20 mm, both ways, all over the clear field. */
function worstLength({ camera }: MadePhoto, scale: PhotoScale): number {
  const { field } = matLayout('A4');
  let worst = 0;
  for (let x = field.left; x < field.right - 20; x += 20) {
    for (let y = field.bottom; y < field.top - 20; y += 20) {
      const seen = [
        [x, y],
        [x + 20, y],
        [x, y + 20],
      ].flatMap(([a, b]) => camera.toImage(a, b, 0));
      const [ax, ay, bx, by, cx, cy] = imageToPlane(scale, Float64Array.from(seen));
      worst = Math.max(
        worst,
        Math.abs(Math.hypot(bx - ax, by - ay) / 20 - 1),
        Math.abs(Math.hypot(cx - ax, cy - ay) / 20 - 1),
      );
    }
  }
  return worst;
}

describe('codes', () => {
  it('are read whichever way up, and with one cell wrong', () => {
    for (const [id, code] of CODES.entries()) {
      expect(decodeCells(code)).toEqual({ id, turns: 0 });
      for (let cell = 0; cell < 16; cell++) expect(decodeCells(code ^ (1 << cell))?.id).toBe(id);
    }
  });

  it('keep apart from what lies between them', () => {
    // All cells alike are 2 or more from every code; so is a chessboard.
    for (const cells of [0x0000, 0xffff, 0xa5a5, 0x5a5a]) expect(decodeCells(cells)).toBeUndefined();
  });
});

describe('the mat in a photograph', () => {
  // Pixels in a millimetre are 1.9…2.5 here; the errors below are for that, and shrink with more.
  it.each([
    { tilt: 0, roll: 3, k1: 0 },
    { tilt: 8, roll: 95, k1: -0.05 },
    { tilt: 30, roll: 47, k1: -0.1 },
  ])('gives lengths within 0.05 % at $tilt° of tilt with k1 = $k1, seed 3', ({ tilt, roll, k1 }) => {
    const made = take({
      camera: {
        width: 1000,
        height: 770,
        focal: 960,
        distance: 390 + 5 * tilt,
        tilt,
        azimuth: 60,
        roll,
        k1,
      },
    });
    const scale = scaleOf(asPhoto(made.pixels));
    expect(worstLength(made, scale)).toBeLessThan(0.0005);
    // k1 refers to the focal length, our term to half the diagonal.
    expect(scale.map.radial.k).toBeCloseTo(k1 * (Math.hypot(1000, 770) / 2 / 960) ** 2, 2);
    expect(scale.camera?.tilt).toBeCloseTo(tilt, 0);
    if (tilt > 5) {
      expect(scale.camera?.focalSource).toBe('tilt');
      expect(scale.camera!.height / made.camera.centre[2]).toBeCloseTo(1, 1.5);
    } else expect(scale.warnings.map(({ code }) => code)).toContain('camera-height-assumed');
    const back = planeToImage(scale, imageToPlane(scale, Float64Array.of(100, 200, 900, 650), 4), 4);
    expect([...back]).toEqual([100, 200, 900, 650].map((value) => expect.closeTo(value, 6)));
  });

  it('takes parallax out: a point 12 mm up, 70 mm from the foot, by similar triangles; focal length by EXIF', () => {
    const made = take({
      camera: { width: 800, height: 1040, focal: 1000, distance: 395, tilt: 4, azimuth: 200, roll: 2 },
    });
    const focal35 = (1000 / Math.hypot(800, 1040)) * Math.hypot(36, 24);
    const scale = scaleOf(asPhoto(made.pixels, 1, { focal35 }));
    const [fx, fy, z] = made.camera.centre;
    expect(scale.camera!.height).toBeCloseTo(z, 0);
    expect(Math.hypot(scale.camera!.footX - fx, scale.camera!.footY - fy)).toBeLessThan(1);
    const seen = Float64Array.from(made.camera.toImage(fx + 70, fy, 12));
    const flat = imageToPlane(scale, seen);
    expect(flat[0] - fx).toBeCloseTo((70 * z) / (z - 12), 1);
    const raised = imageToPlane(scale, seen, 12);
    expect(raised[0] - fx).toBeCloseTo(70, 1);
    expect(raised[1] - fy).toBeCloseTo(0, 1);
  });

  it('does with four markers, the others hidden wholly or in part, in light that falls off by 80 %', () => {
    const { markers } = matLayout('A4');
    const kept = new Set([0, 3, 12, 19]);
    const covers = markers
      .filter(({ id }) => !kept.has(id))
      .map(({ id, corners }) => [corners[0] + (id % 3) * 2, corners[1] - 4, 7 + (id % 4)] as const);
    const made = take({
      camera: { width: 1000, height: 770, focal: 960, distance: 410, tilt: 12, azimuth: 10, roll: 80 },
      light: { backdrop: 'white', falloff: 0.8, from: 120 },
      covers,
    });
    const scale = scaleOf(asPhoto(made.pixels));
    const ids = scale.evidence.kind === 'mat' ? scale.evidence.markers.map(({ id }) => id) : [];
    expect(ids.sort((a, b) => a - b)).toEqual([...kept]);
    expect(worstLength(made, scale)).toBeLessThan(0.002);
  });

  it('knows Letter from A4, is not fooled by three markers, and finds none where there is none', () => {
    const camera = { width: 640, height: 800, focal: 800, distance: 360, tilt: 5 };
    const letter = scaleOf(asPhoto(take({ mat: 'Letter', camera }).pixels));
    expect(letter.evidence).toMatchObject({ kind: 'mat', paper: 'Letter' });
    const covers = matLayout('A4')
      .markers.filter(({ id }) => id > 2)
      .map(({ corners }) => [corners[0] + 6, corners[1] - 6, 7] as const);
    const few = asPhoto(take({ camera, covers }).pixels);
    expect(findMat(few, DEFAULT_SCALE_SETTINGS, cv)).toBeUndefined();
    const bare = makePhoto({ camera, light: { backdrop: 'wood' }, seed: 2, labels: [LABEL] });
    expect(findMat(asPhoto(bare.pixels), DEFAULT_SCALE_SETTINGS, cv)).toBeUndefined();
  });

  it('scales with the bar as it was measured on the paper, says when it was not, and leaves no matrix behind', () => {
    const made = take({ camera: { width: 640, height: 800, focal: 800, distance: 360 } });
    const photo = asPhoto(made.pixels);
    const counting = countingOpencv(cv);
    const one = new counting.cv.Mat();
    expect(counting.alive()).toBe(1);
    one.delete();
    expect(findMat(photo, DEFAULT_SCALE_SETTINGS, counting.cv)).toBeDefined();
    expect(counting.alive()).toBe(0);
    for (const printedBar of [0, 1000, Number.NaN]) {
      expect(() => findMat(photo, { ...DEFAULT_SCALE_SETTINGS, printedBar }, cv)).toThrow(
        /must measure 50 to 200 mm/,
      );
    }
    const told = findMat(photo, { ...DEFAULT_SCALE_SETTINGS, printedBar: 97 }, cv)!;
    const untold = scaleOf(photo);
    expect(untold.pxPerMm / told.pxPerMm).toBeCloseTo(0.97, 9);
    expect(untold.warnings.map(({ code }) => code)).toContain('mat-unchecked');
    expect(told.warnings.map(({ code }) => code)).not.toContain('mat-unchecked');
    expect(told.components.print).toBeCloseTo(0.1 / 97, 12);
  });
});

describe('the mat’s layout', () => {
  it.each(['A4', 'Letter'] as const)(
    'of %s keeps markers, bar and field apart by a cell and off the rim',
    (paper) => {
      const { sheet, field, markers, bar, number } = matLayout(paper);
      const cell = MARKER_SIDE / 6;
      const boxes = markers.map(({ corners: c }) => ({ left: c[0], right: c[2], top: c[1], bottom: c[5] }));
      for (const a of [field, bar, number, ...boxes]) {
        expect(Math.min(a.left - sheet.left, sheet.right - a.right)).toBeGreaterThan(5);
        expect(Math.min(a.bottom - sheet.bottom, sheet.top - a.top)).toBeGreaterThan(5);
        for (const b of [field, bar, number, ...boxes]) {
          const apart = Math.max(a.left - b.right, b.left - a.right, a.bottom - b.top, b.bottom - a.top);
          if (a !== b) expect(apart).toBeGreaterThanOrEqual(cell - 1e-9);
        }
      }
      expect(bar.right - bar.left).toBeCloseTo(100, 12);
      expect(field.left).toBeCloseTo(-field.right, 12);
      expect(field.bottom).toBeCloseTo(-field.top, 12);
    },
  );
});

const LABEL = { place: { x: 10, y: -20 }, width: 60, height: 30 };
