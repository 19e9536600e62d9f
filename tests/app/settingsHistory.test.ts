import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  automatic,
  change,
  isAutomatic,
  redo,
  type SettingsHistory,
  UNTOUCHED,
  undo,
} from '../../src/app/state/settingsHistory.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';

describe('history of settings', () => {
  test('a change that changes nothing leaves no trace', () => {
    expect(change(UNTOUCHED, 'trace', { flipFace: false })).toBe(UNTOUCHED);
  });

  test('the automatic result is one step away, and that step can be undone', () => {
    const changed = change(UNTOUCHED, 'trace', { axis: 'longest', flipTip: true });
    const back = automatic(changed);
    expect(back.present).toEqual(DEFAULT_SETTINGS);
    expect(isAutomatic(back)).toBe(true);
    expect(undo(back).present).toEqual(changed.present);
    expect(automatic(back)).toBe(back);
  });

  test('the scale of a photograph stays as it was told, for the program could not know it; one it began with comes back', () => {
    const scaled = change(UNTOUCHED, 'photo', { method: 'bar', block: 10 });
    expect(isAutomatic(scaled)).toBe(true);
    const corrections = [{ kind: 'in' as const, points: [[1, 2] as const], radius: 3, hand: 1 }];
    const drawn = change(change(scaled, 'photo', { corrections, piece: 2 }), 'trace', { flipTip: true });
    expect(isAutomatic(drawn)).toBe(false);
    const { present } = automatic(drawn);
    expect(present.trace).toEqual(DEFAULT_SETTINGS.trace);
    expect(present.photo).toEqual(scaled.present.photo);
    const begun: SettingsHistory = { past: [], present: scaled.present, future: [] };
    const typed = change(begun, 'photo', { method: 'typed', pxPerMm: 7 });
    expect(automatic(typed).present.photo).toEqual(scaled.present.photo);
  });

  test('a new change forgets what was undone', () => {
    const one = change(UNTOUCHED, 'trace', { flipFace: true });
    const other = change(undo(one), 'scan', { unit: 'cm' });
    expect(other.future).toEqual([]);
    expect(redo(other)).toBe(other);
  });

  const asked = fc.record(
    {
      flipFace: fc.boolean(),
      flipTip: fc.boolean(),
      axis: fc.constantFrom('mirror' as const, 'principal' as const, 'longest' as const),
    },
    { requiredKeys: [] },
  );

  test('undo goes all the way back to the automatic settings, redo all the way forward', () => {
    fc.assert(
      fc.property(fc.array(asked, { maxLength: 200 }), (steps) => {
        const end = steps.reduce((history, step) => change(history, 'trace', step), UNTOUCHED);
        let back: SettingsHistory = end;
        for (let i = 0; i < end.past.length; i++) back = undo(back);
        expect(JSON.stringify(back.present)).toBe(JSON.stringify(DEFAULT_SETTINGS));
        expect(undo(back)).toBe(back);
        for (let i = 0; i < end.past.length; i++) back = redo(back);
        expect(back).toEqual(end);
      }),
    );
  });
});
