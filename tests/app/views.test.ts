import { describe, expect, test } from 'vitest';
import { viewFromName, viewFromOutline } from '../../src/app/state/guessView.ts';
import { automatic, change, UNTOUCHED, undo } from '../../src/app/state/settingsHistory.ts';
import { assignView, freeViews, photosInUse, shownViews, tellView } from '../../src/app/state/views.ts';
import { VIEWS } from '../../src/trace/types.ts';

describe('the guess of a view', () => {
  test.each([
    ['qt-41-3-photo-B.jpg', 'B'],
    ['QT41_3 Face B.JPG', 'B'],
    ['pieceFaceB.png', 'B'],
    ['reverse.tif', 'B'],
    ['41-3 left.jpeg', 'left'],
    ['left hand biface, right edge.jpg', 'right'],
    ['point_profile.png', 'left'],
    ['side-view.jpg', 'left'],
    ['edge-on R.jpg', 'right'],
    ['point B profile.jpg', 'left'],
    ['41-3 tip.jpg', 'tip'],
    ['brightstone.jpg', null],
    ['IMG_2041.jpg', null],
    ['biface-A.jpg', null],
  ])('of %s by its name is %s', (name, view) => {
    expect(viewFromName(name, VIEWS)).toBe(view);
  });

  test('by name takes no view that has a photograph already', () => {
    expect(viewFromName('b.jpg', ['left', 'right'])).toBe(null);
    expect(viewFromName('profile.jpg', ['B', 'right'])).toBe('right');
    expect(viewFromName('profile.jpg', ['B'])).toBe(null);
  });

  test('by outline is edge-on where that is far thinner than Face A', () => {
    expect(viewFromOutline(0.42, 0.45, VIEWS)).toBe('B');
    expect(viewFromOutline(0.12, 0.45, VIEWS)).toBe('left');
    expect(viewFromOutline(0.12, 0.45, ['B', 'right'])).toBe('right');
    expect(viewFromOutline(0.12, 0.45, ['B'])).toBe('B');
    expect(viewFromOutline(0.42, 0.45, ['right'])).toBe('right');
    expect(viewFromOutline(null, 0.45, VIEWS)).toBe('B');
    expect(viewFromOutline(0.4, 0.4, [])).toBe(null);
  });
});

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
