import { expect, test } from 'vitest';

import { createPlate, isChanged, READY_STYLES, styleFile, stylesOf } from '../../src/app/plate/state.ts';
import { stationsSaid } from '../../src/app/words/stationsSaid.ts';
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
  const read = (text: string): unknown => {
    const said = stationsSaid(text);
    return said.kind === 'stations' ? said.stations : said.why;
  };
  expect(read('75, 25;50')).toEqual([25, 50, 75]);
  expect(read('10 20,30,40, 50')).toEqual([10, 20, 30, 40, 50]);
  expect(read('')).toEqual([]);
  expect(read('12.5, 37.5')).toEqual([12.5, 37.5]);
  // Where a comma is the decimal point, something else parts numbers.
  expect(read('37,5; 12,5;80')).toEqual([12.5, 37.5, 80]);
  for (const either of ['12,5', '12,5 37,5', '25, 12,5'])
    expect(read(either)).toMatch(/12,5 may be 12\.5, or 12 and 5/);
  for (const wrong of ['0', '100', '20, 20', 'a', '-5', '20,,30', ',5', '1,2,3,4,,'])
    expect(read(wrong), wrong).toEqual(expect.any(String));
});
