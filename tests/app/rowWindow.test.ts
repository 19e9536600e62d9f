import { describe, expect, test } from 'vitest';
import { rowsAcross, rowsLaidOut, rowTracks } from '../../src/app/drawer/rowWindow.ts';

/** Rows 0 to 9, of which two were laid out: 0–100, 110–160, 170–370, then 100 each with gaps of 10. */
const heights = {
  known: new Map([
    [1, 50],
    [2, 200],
  ]),
  estimate: 100,
  gap: 10,
};

describe('rows of a long grid', () => {
  test.each([
    [0, 90, 0, 1],
    [0, 110, 0, 2],
    [101, 165, 1, 2],
    [160, 170, 1, 3],
    [371, 480, 3, 4],
    [-500, -1, 0, 0],
    [5000, 6000, 10, 10],
    [-1e6, 1e6, 0, 10],
  ])('from %i to %i px are seen', (top, bottom, from, to) => {
    expect(rowsAcross(heights, 10, top, bottom)).toEqual({ from, to });
  });

  test('the first, the last and those about the focus are always there, once and in order', () => {
    expect(rowsLaidOut({ from: 4, to: 6 }, 10, null)).toEqual([0, 4, 5, 9]);
    expect(rowsLaidOut({ from: 4, to: 6 }, 10, 7)).toEqual([0, 4, 5, 6, 7, 8, 9]);
    expect(rowsLaidOut({ from: 0, to: 0 }, 1, 0)).toEqual([0]);
    // A filter has left fewer than were seen.
    expect(rowsLaidOut({ from: 4, to: 9 }, 2, null)).toEqual([0, 1]);
    expect(rowsLaidOut({ from: 0, to: 5 }, 0, null)).toEqual([]);
  });

  test('those that are not there leave the room that they take', () => {
    expect(rowTracks(heights, [0, 1, 2])).toEqual({ template: '', lines: [1, 2, 3] });
    // Rows 1 and 2 with the gap between them; rows 4 to 8 with four.
    expect(rowTracks(heights, [0, 3, 9])).toEqual({
      template: 'auto 260px auto 540px auto',
      lines: [1, 3, 5],
    });
  });
});
