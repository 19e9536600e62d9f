import { expect, test } from 'vitest';
import { parseStations } from '../../src/cli/options.ts';
import { shortTable } from '../../src/cli/table.ts';
import type { Measurement } from '../../src/measures/types.ts';

const row = {
  name: 'point',
  warnings: 1,
  measurements: [
    { id: 'length', value: 105.8191, unit: 'mm', u: 0.2029 },
    { id: 'thickness', value: 14.2817, unit: 'mm', u: 0.4231, estimated: true },
    { id: 'width', value: 55.53, unit: 'mm', u: 0.1362, minimum: true },
    { id: 'width.thickness', value: null, unit: '1', reason: 'no faces' },
    { id: 'humps.count', value: 2, unit: 'count' },
  ] as unknown as readonly Measurement[],
};

test('the short table shows each value with its uncertainty to two figures, the value to the same place', () => {
  const [heading, line] = shortTable([row]).split('\n');
  expect(heading).toMatch(/^piece +length mm +width mm +thickness mm +w\/t .* warnings$/);
  expect(line).toMatch(/^point +105\.82 ± 0\.20 +≥ 55\.53 ± 0\.14 +≈ 14\.28 ± 0\.42 +– +– +– +2 +1$/);
});

test('on a terminal that is too narrow for it each number has a line', () => {
  const text = shortTable([row, { ...row, name: 'other' }], 80);
  expect(text.split('\n').slice(0, 4)).toEqual([
    'point',
    '  length mm     105.82 ± 0.20',
    '  width mm      ≥ 55.53 ± 0.14',
    '  thickness mm  ≈ 14.28 ± 0.42',
  ]);
  expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  expect(text).toContain('\nother\n');
});

test('stations rise: a decimal comma is not taken for two of them', () => {
  expect(parseStations('10,12.5,50')).toEqual([10, 12.5, 50]);
  for (const commas of ['12,5', '33,3,66,7', '25,25'])
    expect(() => parseStations(commas)).toThrow(/must rise/);
});
