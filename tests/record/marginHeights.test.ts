import { describe, expect, test } from 'vitest';
import type { CameraStand, PhotoScale } from '../../src/intake/photoTypes.ts';
import { evenMap } from '../../src/intake/scaleMap.ts';
import { heightDoubts } from '../../src/record/heightDoubts.ts';
import { marginHeights } from '../../src/record/marginHeights.ts';
import type { SeenView } from '../../src/record/photoViews.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { tracePhoto } from '../../src/trace/tracePhoto.ts';
import type { PhotoSettings, ViewName } from '../../src/trace/types.ts';
import { BLANK, leaf } from './leaf.ts';

const MAT: PhotoSettings = { ...DEFAULT_PHOTO_SETTINGS, method: 'mat' };

/** A picture of 10 pixels in a millimetre of the mat, from so high over a place beside the leaf's middle, mm. */
function over(height: number, beside = 0): PhotoScale & { readonly camera: CameraStand } {
  const camera = {
    height,
    footX: 50 + beside,
    footY: -60,
    tilt: 0,
    focal: 4000,
    focalSource: 'exif',
    relative: 0.005,
  } as const;
  return {
    method: 'mat',
    map: evenMap(10, 1000, 1200),
    pxPerMm: 10,
    camera,
    relative: 0.001,
    components: { corners: 0.0002 },
    evidence: { kind: 'typed' },
    warnings: [],
  };
}

/** A view whose own scale has no camera, or one so high over its mat. */
function seen(view: ViewName, long: number, wide: number, height?: number): SeenView {
  const { camera, ...plain } = over(height ?? 0);
  const scale = height === undefined ? plain : { ...plain, camera };
  return { view, file: {}, photo: BLANK, scale, candidates: leaf(long, wide) } as unknown as SeenView;
}

function heights(photo: PhotoSettings, scale: PhotoScale, views: readonly SeenView[], long = 80, wide = 40) {
  const first = tracePhoto(leaf(long, wide), scale, photo, DEFAULT_TRACE_SETTINGS);
  return marginHeights(photo, first, scale, views, DEFAULT_TRACE_SETTINGS);
}

describe('the height of the margin over a mat', () => {
  test('is half of what was told, else of what edge-on views show, else one from the tip', async () => {
    const views = [seen('left', 80, 12), seen('right', 80, 12.2), seen('tip', 40, 16)];
    const told = await heights({ ...MAT, thickness: 9 }, over(500), views);
    expect(told.a).toEqual({ value: 4.5, u: 0.9, from: ['thickness'] });
    const edges = await heights(MAT, over(500), views);
    expect(Math.abs((edges.a?.value ?? 0) - 6.05)).toBeLessThan(0.1);
    expect(edges.a?.from).toEqual(['edge-on']);
    // A tenth of the thickness for the margin's place, and what is not known of the thickness.
    expect(edges.a?.u).toBeGreaterThan(1.21);
    const tip = await heights(MAT, over(500), [seen('tip', 40, 16)]);
    expect(Math.abs((tip.a?.value ?? 0) - 8)).toBeLessThan(0.1);
    expect(tip.a?.from).toEqual(['tip']);
  });

  test('is a usual share of the width where nothing else tells it, or what tells it shows something else', async () => {
    const guessed = await heights(MAT, over(500), []);
    expect(guessed.a?.value).toBeCloseTo(0.18 * 40, 0);
    expect(guessed.a?.from).toEqual(['width']);
    expect((await heights(MAT, over(500), [seen('left', 80, 44)])).a?.from).toEqual(['width']);
  });

  test('is not sought where the camera’s place is not known', async () => {
    const { camera: _, ...plain } = over(500);
    expect(await heights(MAT, plain, [seen('left', 80, 12)])).toEqual({});
  });

  test('is known by both faces and the thickness where neither tells it alone', async () => {
    // A margin 5 mm over Face B and 9 under Face A, by similar triangles.
    const [a, b] = [500 / 495, 400 / 391];
    const views = [seen('B', 80 * b, 40 * b, 400)];
    const known = await heights({ ...MAT, thickness: 14 }, over(500), views, 80 * a, 40 * a);
    expect(known.a?.from).toEqual(['thickness', 'faces']);
    expect(Math.abs((known.a?.value ?? 0) - 5)).toBeLessThan(0.2);
    expect(Math.abs((known.b?.value ?? 0) - 9)).toBeLessThan(0.2);
    expect(known.a?.u).toBeLessThan(0.7);
    // One of another size altogether says nothing of heights.
    const other = await heights(
      { ...MAT, thickness: 14 },
      over(500),
      [seen('B', 84, 42, 400)],
      80 * a,
      40 * a,
    );
    expect(other.a).toEqual({ value: 7, u: expect.closeTo(1.4, 9), from: ['thickness'] });
  });
});

describe('doubts of the height of the margin', () => {
  const doubts = async (photo: PhotoSettings, scale: ReturnType<typeof over>) => {
    const { a } = await heights(photo, scale, []);
    const traced = tracePhoto(leaf(80, 40), scale, photo, DEFAULT_TRACE_SETTINGS, { height: a! });
    return heightDoubts(traced, scale).map(({ code, text }) => `${code}: ${text}`);
  };
  const told = { ...MAT, thickness: 6 };

  test('say that it was guessed, what that is worth, and what to do', async () => {
    expect(await doubts(MAT, over(700))).toEqual([
      expect.stringMatching(
        /^margin-height-guessed: .*from the width \(7\.\d ± 3\.\d mm\): .* known to 0\.5 % only\. Tell the thickness/,
      ),
    ]);
    expect(await doubts(told, over(700))).toEqual([]);
  });

  test('say that the camera looked aslant, where a margin that winds would be seen elsewhere', async () => {
    expect(await doubts(told, over(600, 250))).toEqual([
      expect.stringMatching(
        /^margin-aslant: Parts of the margin were seen up to 2\d° aslant: .* straight above/,
      ),
    ]);
    expect(await doubts(told, over(600, 40))).toEqual([]);
  });
});
