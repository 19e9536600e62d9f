import { expect, test } from 'vitest';
import { readStations } from '../../src/app/plate/controls.tsx';
import { createPlate, isChanged, READY_STYLES, styleFile, stylesOf } from '../../src/app/plate/state.ts';
import { DEFAULT_STYLE, readStyle, verifyStyle } from '../../src/plate/plateStyle.ts';

function drawer() {
  const kept = new Map<string, string>();
  return {
    kept,
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
  };
}

test('a style is named, kept, taken again, exported and brought back', () => {
  const place = drawer();
  const plate = createPlate(place);
  plate.change({ hatch: true, stations: [25, 75] });
  expect(isChanged(plate.getState())).toBe(true);
  plate.keepAs('journal');
  expect(isChanged(plate.getState())).toBe(false);
  plate.take('house');
  expect(plate.getState().style).toEqual(DEFAULT_STYLE);
  const next = createPlate(place);
  expect(next.getState().style).toEqual(DEFAULT_STYLE);
  next.take('journal');
  expect(next.getState().style.stations).toEqual([25, 75]);
  const file = styleFile(next.getState().style);
  expect(readStyle(file)).toEqual(next.getState().style);
  const elsewhere = createPlate(drawer());
  elsewhere.bring(file);
  expect(stylesOf(elsewhere.getState()).map(({ name }) => name)).toContain('journal');
  next.remove('journal');
  expect(createPlate(place).getState().own).toEqual([]);
});

test('what can not be used is refused in a sentence, and damaged keeping is left out', () => {
  const plate = createPlate(drawer());
  expect(() => plate.keepAs('house')).toThrow(/always there/);
  expect(() => plate.keepAs('')).toThrow(/name must be/);
  expect(() => plate.bring('{"papr":"A4"}')).toThrow(/no "papr"/);
  expect(plate.getState().style).toEqual(DEFAULT_STYLE);
  plate.bring('{"hatch":true}');
  expect(plate.getState().own.map(({ name }) => name)).toEqual(['house (own)']);
  const place = drawer();
  place.setItem('knapgauge.plate', '{"style":{"paper":"A0"},"own":[{"name":"a"},{"scale":"x"}]}');
  expect(createPlate(place).getState()).toMatchObject({ style: DEFAULT_STYLE, own: [{ name: 'a' }] });
  place.setItem('knapgauge.plate', '{');
  expect(createPlate(place).getState().style).toEqual(DEFAULT_STYLE);
});

test('every style that is always there can be drawn', () => {
  for (const style of READY_STYLES) expect(verifyStyle(style)).toEqual(style);
});

test('stations are read as people write them', () => {
  expect(readStations('75, 25;50')).toEqual([25, 50, 75]);
  expect(readStations('')).toEqual([]);
  for (const wrong of ['0', '100', '20, 20', 'a', '-5']) expect(readStations(wrong), wrong).toBeUndefined();
});
