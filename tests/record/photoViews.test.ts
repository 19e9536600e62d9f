import { describe, expect, test } from 'vitest';
import { evenMap } from '../../src/intake/scaleMap.ts';
import { addViews, type SeenView, withSeenThickness } from '../../src/record/photoViews.ts';
import { readSettings } from '../../src/record/settings.ts';
import { recordedSettings, settingsOfView } from '../../src/record/viewSettings.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { type TracedPhoto, tracePhoto } from '../../src/trace/tracePhoto.ts';
import type { PhotoSettings, ViewName } from '../../src/trace/types.ts';
import { modelOf } from '../measures/support/model.ts';

const BAR: PhotoSettings = { ...DEFAULT_PHOTO_SETTINGS, method: 'bar', length: 50, piece: 3, thickness: 8 };

describe('the scale of a further photograph', () => {
  test('is had as that of Face A unless it was told one of its own', () => {
    expect(settingsOfView(BAR, 'B')).toEqual({ ...BAR, piece: 1 });
    const own = { ...BAR, views: [{ view: 'left', method: 'typed', pxPerMm: 12, piece: 2 }] } as const;
    expect(settingsOfView(own, 'left')).toEqual({
      ...DEFAULT_PHOTO_SETTINGS,
      method: 'typed',
      pxPerMm: 12,
      piece: 2,
      thickness: 8,
    });
    expect(settingsOfView(own, 'B')).toEqual({ ...BAR, piece: 1 });
  });

  test('goes with the corrections of its own outline, not with those of Face A', () => {
    const stroke = { kind: 'in', points: [[3, 4]], radius: 5, hand: 1 } as const;
    const told = {
      ...BAR,
      corrections: [stroke, stroke],
      views: [{ view: 'tip', corrections: [stroke] }],
    } as const;
    expect(settingsOfView(told, 'tip')).toEqual({ ...BAR, piece: 1, corrections: [stroke] });
    expect(settingsOfView(told, 'B').corrections).toBeUndefined();
    expect(readSettings(JSON.stringify({ photo: told })).photo?.views).toEqual(told.views);
  });

  test('is not taken from two points of another picture', () => {
    const points: PhotoSettings = { ...BAR, method: 'points', points: [0, 0, 100, 0] };
    expect(() => settingsOfView(points, 'B')).toThrow(/View B: .*scale of its own/);
  });
});

describe('the thickness that parallax is taken out by', () => {
  const box = (wide: number, long: number) =>
    Float64Array.of(0, 0, 0, long, wide / 2, 1.1 * long, wide, long, wide, 0);
  const face = (u: number): TracedPhoto =>
    ({ model: modelOf({ outer: box(30, 80) }), marginHeight: { value: 4.5, u } }) as unknown as TracedPhoto;
  /** A silhouette so many mm wide, at 10 pixels in a millimetre. */
  const view = (name: ViewName, wide: number): SeenView =>
    ({
      view: name,
      scale: { map: evenMap(10, 1000, 1000) },
      candidates: [{ kind: 'piece', found: 1, ring: box(10 * wide, 800) }],
    }) as unknown as SeenView;
  const plain: PhotoSettings = { ...DEFAULT_PHOTO_SETTINGS, method: 'mat' };

  test('is what edge-on views show, else one from the tip, where none was told', async () => {
    const both = await withSeenThickness(plain, face(2), [
      view('left', 12),
      view('right', 13),
      view('tip', 16),
    ]);
    expect(both.thickness).toBeCloseTo(12.5, 6);
    expect((await withSeenThickness(plain, face(2), [view('tip', 16)])).thickness).toBeCloseTo(16, 6);
    const told = { ...plain, thickness: 9 };
    expect(await withSeenThickness(told, face(2), [view('left', 12)])).toBe(told);
  });

  test('is no silhouette wider than the plan, and none is sought without a camera', async () => {
    expect(await withSeenThickness(plain, face(2), [view('left', 31)])).toBe(plain);
    expect(await withSeenThickness(plain, face(2), [view('B', 12)])).toBe(plain);
    expect(await withSeenThickness(plain, face(0), [view('left', 12)])).toBe(plain);
  });
});

describe('pictures that do not fit each other', () => {
  const typed: PhotoSettings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 10 };
  /** A leaf so many mm long and wide, tip up, at 10 pixels in a millimetre, as found in a picture. */
  const leaf = (long: number, wide: number) => {
    const n = 900;
    const ring = Float64Array.from({ length: 2 * n }, (_, i) => {
      const angle = (2 * Math.PI * (i >> 1)) / n;
      const along = 5 * long * Math.sin(angle);
      return i % 2 === 1 ? 600 - along : 500 + 5 * wide * Math.cos(angle) * (1 - 0.03 * (along / long));
    });
    return [{ kind: 'piece', found: 1, ring, error: 0.1, soft: 0, softStretch: 0, area: 1 }] as const;
  };
  const scale = {
    map: evenMap(10, 1000, 1200),
    method: 'typed',
    pxPerMm: 10,
    relative: 0.002,
    evidence: { kind: 'typed' },
  };
  const seen = (view: ViewName, long: number, wide: number): SeenView =>
    ({ view, file: {}, scale, candidates: leaf(long, wide) }) as unknown as SeenView;
  const told = async (...views: SeenView[]): Promise<string[]> => {
    const face = tracePhoto(leaf(80, 40), scale as never, typed, DEFAULT_TRACE_SETTINGS);
    return (await addViews(face, views, typed, DEFAULT_TRACE_SETTINGS)).warnings.map(({ text }) => text);
  };

  test('say nothing where they fit', async () => {
    expect(await told(seen('B', 80.2, 40.1), seen('left', 80, 14), seen('tip', 40, 14.2))).toEqual([]);
  });

  test('say that a face and an edge have changed places', async () => {
    const sentence = expect.stringMatching(
      /thicker \(44\.\d mm\) than wide \(40\.\d mm\): .* changed places/,
    );
    expect(await told(seen('left', 80, 44))).toEqual([sentence]);
    expect(await told(seen('tip', 80, 44))).toContainEqual(sentence);
  });

  test('say that Face B is of the same form at another scale', async () => {
    expect(await told(seen('B', 80 * 1.02, 40 * 1.02))).toEqual([
      expect.stringMatching(/^Face B is 2\.0 % larger than Face A, and of the same form/),
    ]);
  });
});

test('a record keeps what was told of the views that were measured, and no names of the page', () => {
  const views = [
    { view: 'left', file: 'x1', method: 'typed', pxPerMm: 9 },
    { view: 'B', file: 'x2' },
    { view: 'right', piece: 2 },
  ] as const;
  expect(recordedSettings({ ...BAR, views }, ['B', 'left'])).toEqual({
    ...BAR,
    views: [{ view: 'left', method: 'typed', pxPerMm: 9 }],
  });
  expect(recordedSettings({ ...BAR, views }, ['B'])).toEqual(BAR);
});

test.each([
  ['[{"view":"B"},{"view":"B"}]'],
  ['[{"view":"top"}]'],
  ['[{"file":"x"}]'],
  ['[{"view":"B","method":"guess"}]'],
  ['[{"view":"B","__proto__":{}}]'],
  ['[null]'],
])('views %s are refused in a settings file', (views) => {
  expect(() => readSettings(`{"photo":{"views":${views}}}`)).toThrow(/photo\.views must be/);
});
