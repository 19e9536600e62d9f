import { describe, expect, test } from 'vitest';
import { evenMap } from '../../src/intake/scaleMap.ts';
import { addViews, type SeenView } from '../../src/record/photoViews.ts';
import { DEFAULT_SETTINGS, readSettings } from '../../src/record/settings.ts';
import { settingsInRecord, settingsOfView } from '../../src/record/viewSettings.ts';
import { DEFAULT_PHOTO_SETTINGS, DEFAULT_TRACE_SETTINGS } from '../../src/trace/settings.ts';
import { tracePhoto } from '../../src/trace/tracePhoto.ts';
import type { PhotoSettings, ViewName } from '../../src/trace/types.ts';
import { BLANK, leaf } from './leaf.ts';

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

describe('pictures that do not fit each other', () => {
  const typed: PhotoSettings = { ...DEFAULT_PHOTO_SETTINGS, method: 'typed', pxPerMm: 10 };
  const scale = {
    map: evenMap(10, 1000, 1200),
    method: 'typed',
    pxPerMm: 10,
    relative: 0.002,
    evidence: { kind: 'typed' },
  };
  const seen = (view: ViewName, long: number, wide: number): SeenView =>
    ({ view, file: {}, photo: BLANK, scale, candidates: leaf(long, wide) }) as unknown as SeenView;
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
  const kept = (measured: readonly ViewName[]) =>
    settingsInRecord({ ...DEFAULT_SETTINGS, photo: { ...BAR, views } }, 'photo', measured).photo;
  expect(kept(['B', 'left'])).toEqual({
    ...BAR,
    views: [{ view: 'left', method: 'typed', pxPerMm: 9 }],
  });
  expect(kept(['B'])).toEqual(BAR);
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
