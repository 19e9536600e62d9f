import { describe, expect, test } from 'vitest';
import { automatic, change, UNTOUCHED, undo } from '../../src/app/state/settingsHistory.ts';
import { assignView, freeViews, photosInUse, shownViews, tellView } from '../../src/app/state/views.ts';

describe('views in the settings', () => {
  const two = assignView(assignView([], 'one', 'B'), 'two', 'left');

  test('a photograph takes a view; what showed it before takes the place that it leaves', () => {
    expect(assignView(two, 'one', 'left')).toEqual([
      { view: 'left', file: 'one' },
      { view: 'B', file: 'two' },
    ]);
    expect(assignView(two, 'three', 'B')).toEqual([
      { view: 'left', file: 'two' },
      { view: 'B', file: 'three' },
    ]);
  });

  test('what was told of one is taken back by undefined', () => {
    const told = tellView(two, 'left', { method: 'typed', pxPerMm: 8 });
    expect(told[1]).toEqual({ view: 'left', file: 'two', method: 'typed', pxPerMm: 8 });
    expect(tellView(told, 'left', { method: undefined, pxPerMm: undefined })).toEqual(two);
  });

  test('are undone, stay when all else becomes automatic again, and keep their files for as long as one can go back', () => {
    const added = change(UNTOUCHED, 'photo', { views: two });
    const told = change(added, 'photo', { views: tellView(two, 'left', { piece: 2 }), flipEdgeOn: true });
    const back = automatic(told);
    expect(back.present.photo?.views).toEqual(two);
    expect(back.present.photo?.flipEdgeOn).toBe(undefined);
    expect(automatic(back)).toBe(back);
    expect(shownViews(undo(added).present)).toEqual([]);
    expect(freeViews(added.present)).toEqual(['right', 'tip']);
    const further = ['one', 'two', 'three'].map((id) => {
      return { id, fileName: id, open: async () => new Blob() };
    });
    const { past, present, future } = undo(added);
    expect(photosInUse(further, [...past, present, ...future]).map(({ id }) => id)).toEqual(['one', 'two']);
  });
});
