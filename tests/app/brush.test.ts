import { describe, expect, test } from 'vitest';
import { extended, resized, toCorrection } from '../../src/app/bench/photo/brush.ts';
import { verifySettings } from '../../src/record/settings.ts';

const brush = { radius: 20, exact: false };

describe('a brush', () => {
  test('keeps the places of a stroke that say something, and no endless list of them', () => {
    let line = extended([], [0, 0], 20, 1);
    line = extended(line, [1.9, 0], 20, 1);
    expect(line).toEqual([[0, 0]]);
    line = extended(line, [2.1, 0], 20, 1);
    expect(line).toHaveLength(2);
    // From far off, 1.5 pixels of the screen are 15 of the photograph.
    expect(extended(line, [12, 0], 20, 0.1)).toHaveLength(2);
    for (let k = 0; k < 5000; k++) line = extended(line, [3 * k, 10 * (k % 2)], 20, 1);
    const correction = toCorrection('paint-in', line, brush, 1, false);
    expect(verifySettings({ photo: { corrections: [correction] } }).photo?.corrections).toHaveLength(1);
  });

  test('a hand is surer from near, and a finger less sure than a pen', () => {
    const hand = (scale: number, finger: boolean) =>
      toCorrection('paint-out', [[5, 5]], brush, scale, finger)?.hand;
    expect(hand(0.5, false)).toBe(3);
    expect(hand(0.5, true)).toBe(8);
    expect(hand(10, false)).toBe(0.5);
    // Never worse than the whole brush.
    expect(hand(0.01, false)).toBe(20);
  });

  test('a line that is held and let go moves nothing; moved, only its ends are kept', () => {
    expect(toCorrection('move-line', [[5, 5]], brush, 1, false)).toBeUndefined();
    expect(
      toCorrection(
        'move-line',
        [
          [5, 5],
          [6, 5],
        ],
        brush,
        1,
        false,
      ),
    ).toBeUndefined();
    expect(
      toCorrection(
        'move-line',
        [
          [5, 5],
          [9, 5],
        ],
        { radius: 20, exact: true },
        1,
        false,
      ),
    ).toEqual({
      kind: 'move',
      points: [
        [5, 5],
        [9, 5],
      ],
      radius: 20,
      hand: 1.5,
      exact: true,
    });
  });

  test('has bounds to its size', () => {
    expect(resized(1, 0.001)).toBe(0.5);
    expect(resized(1000, 9)).toBe(2000);
  });
});
