import { describe, expect, test } from 'vitest';
import { saidOf } from '../../src/app/keep/bringDrawer.ts';
import { sameBytes } from '../../src/app/keep/sameBytes.ts';
import { beganAlike, type Facts, united } from '../../src/app/keep/samePiece.ts';
import { change, UNTOUCHED, undo } from '../../src/app/state/settingsHistory.ts';

const BEGUN = { title: 'scan', catalogue: { collection: 'Q' }, hand: {} };
const piece = (facts: Partial<Facts> = {}): Facts => ({ ...BEGUN, history: UNTOUCHED, ...facts });
const flipped = change(UNTOUCHED, 'trace', { flipTip: true });
const turned = change(UNTOUCHED, 'trace', { nudgeAngle: 2 });

describe('two tellings of one piece', () => {
  test('that say the same leave it as it is, in whatever order', () => {
    const [here, there] = [
      { collection: 'Q', number: '7' },
      { number: '7', collection: 'Q' },
    ];
    expect(united(piece({ catalogue: here }), piece({ catalogue: there }), BEGUN)).toEqual({});
  });

  test('are put together where only one of them says something', () => {
    const here = piece({ catalogue: { collection: 'Q', findSpot: 'secret' }, hand: { length: 70 } });
    const there = piece({ title: 'Point', catalogue: { collection: 'Q', number: '7' }, history: flipped });
    expect(united(here, there, BEGUN)).toEqual({
      title: 'Point',
      catalogue: { collection: 'Q', findSpot: 'secret', number: '7' },
      history: flipped,
    });
    // What the program wrote and somebody took out stays out.
    expect(united(piece(), piece({ catalogue: {} }), BEGUN)).toEqual({ catalogue: {} });
  });

  test('that were undone are as they began', () => {
    expect(united(piece({ history: undo(flipped) }), piece({ history: turned }), BEGUN)).toEqual({
      history: turned,
    });
    expect(united(piece({ history: turned }), piece({ history: undo(flipped) }), BEGUN)).toEqual({});
  });

  test.each<[string, Partial<Facts>, Partial<Facts>]>([
    ['title', { title: 'Point' }, { title: 'Knife' }],
    [
      'number',
      { catalogue: { collection: 'Q', number: '7' } },
      { catalogue: { collection: 'Q', number: '8' } },
    ],
    ['caliper reading', { hand: { length: 70 } }, { hand: { length: 71 } }],
    ['setting', { history: flipped }, { history: turned }],
  ])('with two words on its %s stay two: nothing that was said is lost', (_, here, there) => {
    expect(united(piece(here), piece(there), BEGUN)).toBeNull();
  });

  test('of one picture are of one thing in it only if they began with it', () => {
    const second = { ...UNTOUCHED, present: change(UNTOUCHED, 'photo', { piece: 2 }).present };
    expect(beganAlike(second, UNTOUCHED)).toBe(false);
    expect(beganAlike(flipped, turned)).toBe(true);
  });
});

test('files are the same if every byte is', async () => {
  const bytes = new Uint8Array((1 << 20) + 3).fill(7);
  const other = bytes.slice();
  other[bytes.length - 1] = 8;
  expect(await sameBytes(new Blob([bytes]), new Blob([bytes]))).toBe(true);
  expect(await sameBytes(new Blob([bytes]), new Blob([other]))).toBe(false);
  expect(await sameBytes(new Blob([bytes]), new Blob([bytes, 'x']))).toBe(false);
});

test('it is said what became of the pieces of an archive', () => {
  expect(saidOf({ fresh: 2, alike: 1, told: 0, apart: 0 })).toBe(
    '2 pieces were brought in. One piece was in the drawer already.',
  );
});
