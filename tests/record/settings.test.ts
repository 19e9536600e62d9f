import { describe, expect, test } from 'vitest';
import { DEFAULT_SETTINGS, readSettings, verifySettings } from '../../src/record/settings.ts';

describe('settings', () => {
  test('nothing asked for is the defaults', () => {
    expect(readSettings('{}')).toEqual(DEFAULT_SETTINGS);
  });

  test('what is asked for lies over the defaults, the rest stays', () => {
    const settings = verifySettings({ scan: { unit: 'cm' }, measure: { mass: 41.5, sectionStations: [50] } });
    expect(settings.scan).toEqual({ ...DEFAULT_SETTINGS.scan, unit: 'cm' });
    expect(settings.trace).toEqual(DEFAULT_SETTINGS.trace);
    expect(settings.measure).toEqual({ ...DEFAULT_SETTINGS.measure, mass: 41.5, sectionStations: [50] });
    expect(DEFAULT_SETTINGS.measure.mass).toBeUndefined();
  });

  test('written out and read again they are the same', () => {
    const settings = verifySettings({ trace: { axis: 'tip-base', base: [0, 0, 0], tip: [0, 1, 0] } });
    expect(readSettings(JSON.stringify(settings))).toEqual(settings);
  });

  test('a record serves as a settings file', () => {
    const settings = verifySettings({ trace: { flipTip: true } });
    expect(readSettings(JSON.stringify({ format: 'knapgauge-specimen', version: 1, settings }))).toEqual(
      settings,
    );
    expect(() => readSettings('{"format": "knapgauge-specimen"}')).toThrow('settings must be an object');
  });

  test('corrections of an outline are kept as they are', () => {
    const corrections = [
      { kind: 'in', points: [[10, 20.5]], radius: 8, hand: 1.5 },
      {
        kind: 'move',
        points: [
          [1, 2],
          [3, 4],
        ],
        radius: 30,
        hand: 2,
        exact: true,
      },
    ];
    expect(verifySettings({ photo: { corrections } }).photo?.corrections).toEqual(corrections);
  });

  test.each([
    ['{}', 'an object'],
    ['[3]', 'a number'],
    ['[{"kind": "blur", "points": [[1, 2]], "radius": 8, "hand": 1}]', 'an unknown kind'],
    ['[{"kind": "in", "points": [], "radius": 8, "hand": 1}]', 'no place'],
    ['[{"kind": "in", "points": [[1, 2, 3]], "radius": 8, "hand": 1}]', 'three numbers'],
    ['[{"kind": "in", "points": [[1, 1e999]], "radius": 8, "hand": 1}]', 'infinity'],
    ['[{"kind": "in", "points": [[1, 2]], "radius": 0, "hand": 1}]', 'no radius'],
    ['[{"kind": "in", "points": [[1, 2]], "radius": 8}]', 'no hand'],
    ['[{"kind": "move", "points": [[1, 2]], "radius": 8, "hand": 1}]', 'a move to nowhere'],
    ['[{"kind": "in", "points": [[1, 2]], "radius": 8, "hand": 1, "colour": 1}]', 'an unknown entry'],
  ])('corrections %s are refused with one sentence: %s', (list) => {
    const attempt = (): unknown => readSettings(`{"photo": {"corrections": ${list}}}`);
    expect(attempt).toThrow(/^photo\.corrections must be a list .*; got .*\.$/);
  });

  test.each([
    ['{"trase": {}}', '"trase"'],
    ['{"trace": {"axsi": "mirror"}}', '"axsi"'],
    ['{"__proto__": {"x": 1}}', '"__proto__"'],
    ['{"measure": {"__proto__": {"x": 1}}}', '"__proto__"'],
    ['{"measure": {"constructor": 1}}', '"constructor"'],
  ])('%s: an unknown entry is named', (text, name) => {
    expect(() => readSettings(text)).toThrow(name);
  });

  test.each([
    ['[]', 'must be an object'],
    ['3', 'must be an object'],
    ['{', 'not JSON'],
    ['{"scan": null}', 'scan must be an object'],
    ['{"scan": {"unit": "mile"}}', 'scan.unit must be one of um, mm, cm, m, in; got "mile"'],
    ['{"scan": {"unit": "toString"}}', 'scan.unit'],
    ['{"trace": {"axis": "middle"}}', 'trace.axis'],
    ['{"trace": {"axis": "tip-base"}}', 'base and tip'],
    ['{"trace": {"tip": [1, 2]}}', 'trace.tip must be three numbers'],
    ['{"trace": {"stations": 20.5}}', 'trace.stations'],
    ['{"trace": {"nudgeAngle": 1e999}}', 'trace.nudgeAngle'],
    ['{"measure": {"mapCell": 0}}', 'measure.mapCell must be a number above 0'],
    ['{"measure": {"sectionStations": [10, 10]}}', 'measure.sectionStations'],
    ['{"measure": {"sectionStations": [0]}}', 'measure.sectionStations'],
    ['{"measure": {"edgeInner": 3}}', 'edgeInner must be less'],
    ['{"measure": {"breaks": [[1]]}}', 'measure.breaks'],
    ['{"measure": {"excluded": [{"from": 1, "to": 2}]}}', 'measure.excluded'],
    ['{"measure": {"excluded": [{"from": 1, "to": 2, "reason": " "}]}}', 'measure.excluded'],
    ['{"measure": {"excluded": [{"from": -1, "to": 2, "reason": "worn"}]}}', 'measure.excluded'],
  ])('%s is refused: %s', (text, part) => {
    expect(() => readSettings(text)).toThrow(part);
  });
});
