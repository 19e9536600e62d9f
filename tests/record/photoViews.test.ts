import { describe, expect, test } from 'vitest';
import { recordedSettings, settingsOfView } from '../../src/record/photoViews.ts';
import { readSettings } from '../../src/record/settings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../../src/trace/settings.ts';
import type { PhotoSettings } from '../../src/trace/types.ts';

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
