import { expect, test } from 'vitest';
import { numberSaid } from '../../src/app/words/numberSaid.ts';

test.each([
  ['50', 50],
  [' 12.5 ', 12.5],
  ['12,5', 12.5],
  ['0,125', 0.125],
  ['.5', 0.5],
  ['1e2', 100],
  ['−3', -3],
  ['1234,5', 1234.5],
])('“%s” says %d', (text, number) => {
  expect(numberSaid(text, {})).toEqual({ kind: 'number', number });
});

test('nothing typed says nothing', () => {
  expect(numberSaid('  ', { above: 0 })).toEqual({ kind: 'nothing' });
});

test.each([
  ['abc', {}, /“abc” is not a number/],
  ['1,2,3', {}, /not a number/],
  ['1.234,5', {}, /not a number/],
  ['Infinity', {}, /not a number/],
  ['1e999', {}, /not a number/],
  ['0x10', {}, /not a number/],
  // A decimal or thousands: a guess would be wrong by a factor of 1000.
  ['1,234', {}, /may be 1\.234 or 1234/],
  ['0', { above: 0 }, /above 0/],
  ['-5', { above: 0 }, /above 0/],
  ['101', { least: 0, most: 100 }, /from 0 to 100/],
  ['-46', { least: -45, most: 45 }, /from −45 to 45/],
  ['-1', { least: 0 }, /0 or more/],
])('“%s” is not taken over, and it is said why', (text, bounds, why) => {
  const said = numberSaid(text, bounds);
  expect(said).toMatchObject({ kind: 'amiss', why: expect.stringMatching(why) });
});
