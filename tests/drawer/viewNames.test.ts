import { describe, expect, test } from 'vitest';
import { groupPhotos } from '../../src/drawer/groupPhotos.ts';
import { saidByName, viewFromName, viewFromOutline } from '../../src/drawer/viewNames.ts';
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
    ['41-3 side B.jpg', 'B'],
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

describe('what a file is called after', () => {
  test.each([
    ['qt-41-3-photo-A.jpg', 'A', 'qt 41 3 photo'],
    ['qt-41-3-photo-left.jpg', 'left', 'qt 41 3 photo'],
    ['QT41_3 Face B.JPG', 'B', 'qt41 3'],
    ['QT41_3 side a.JPG', 'A', 'qt41 3'],
    ['pieceFaceB.png', 'B', 'piece'],
    ['left hand biface, right edge.jpg', 'right', 'left hand biface'],
    ['41-3 edge-on R.jpg', 'right', '41 3'],
    ['41-3_profile.tif', 'edge', '41 3'],
    ['41-3 side view.tif', 'edge', '41 3'],
    ['left_41-3.jpg', 'left', '41 3'],
    ['B.jpg', 'B', ''],
    ['41-3.jpg', null, '41 3'],
    // Letters that are no view: of a layer, of a piece, of a catalogue number.
    ['B-0017.jpg', null, 'b 0017'],
    ['41-3-B-2.jpg', null, '41 3 b 2'],
    ['1234B.jpg', null, '1234b'],
  ])('%s: %s of "%s"', (name, view, piece) => {
    expect(saidByName(name)).toMatchObject({ view, piece });
  });
});

describe('photographs of one piece', () => {
  const grouped = (...files: string[]): unknown[] => {
    const { pieces, refused } = groupPhotos(files.toReversed());
    expect(groupPhotos(files)).toEqual({ pieces, refused });
    return [
      ...pieces.map(({ file, views }) => [file, ...views.map(({ view, file }) => `${view}=${file}`)]),
      ...refused.map(({ why }) => why),
    ];
  };

  test('are those called alike in one folder; Face A says so or says nothing', () => {
    expect(
      grouped('p-A.jpg', 'p-B.jpg', 'p-left.png', 'p tip.TIF', 'q.jpg', 'r.jpg', 'r_reverse.jpg'),
    ).toEqual([
      ['p-A.jpg', 'B=p-B.jpg', 'left=p-left.png', 'tip=p tip.TIF'],
      ['q.jpg'],
      ['r.jpg', 'B=r_reverse.jpg'],
    ]);
    expect(grouped('1/A.jpg', '1/B.jpg', '2/a.jpg', '2/right.jpg', '2/profile.jpg')).toEqual([
      ['1/A.jpg', 'B=1/B.jpg'],
      ['2/a.jpg', 'left=2/profile.jpg', 'right=2/right.jpg'],
    ]);
    expect(grouped('1/p.jpg', '2/p-B.jpg')).toEqual([['1/p.jpg'], ['2/p-B.jpg']]);
  });

  test('are not those whose letters number pieces, or of which each shows a face', () => {
    expect(grouped('p-a.jpg', 'p-b.jpg', 'p-c.jpg')).toEqual([['p-a.jpg'], ['p-b.jpg'], ['p-c.jpg']]);
    expect(grouped('p-A.jpg', 'p-A.tif', 'p.jpg', 'q-B.jpg')).toEqual([
      ['p-A.jpg'],
      ['p-A.tif'],
      ['p.jpg'],
      ['q-B.jpg'],
    ]);
    expect(grouped('p-A.jpg', 'p-B.jpg', 'p.jpg')).toEqual([['p-A.jpg', 'B=p-B.jpg'], ['p.jpg']]);
  });

  test('without a Face A, or with two of one view, are refused together and leave the others alone', () => {
    expect(grouped('p-left.jpg', 'q.jpg')).toEqual([
      ['q.jpg'],
      'By its name p-left.jpg shows the left edge, and no photograph of Face A is called alike.',
    ]);
    expect(grouped('s/p-B.jpg', 's/p-tip.jpg')).toEqual([
      'By their names p-B.jpg shows Face B and p-tip.jpg shows the tip, and no photograph of Face A is called alike.',
    ]);
    expect(grouped('p-A.jpg', 'p-A.tif', 'p-B.jpg')).toEqual([
      'By their names p-A.jpg and p-A.tif both show Face A of one piece.',
    ]);
    expect(grouped('p.jpg', 'p-edge.jpg', 'p-side.jpg', 'p-profile.jpg')).toEqual([
      'By their names p-edge.jpg and p-side.jpg both show the left edge of one piece.',
    ]);
  });
});
