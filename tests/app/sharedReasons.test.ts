import { expect, test } from 'vitest';
import { sharedReasons } from '../../src/app/bench/ledger/sharedReasons.ts';
import type { Measurement, MeasureRow } from '../../src/measures/types.ts';

const row = (id: string) => ({ id, name: id, unit: 'mm', definition: '', source: '' }) as MeasureRow;
const rows = ['a', 'b', 'c', 'd', 'e', 'f'].map(row);
const measured = (id: string, reason?: string): [string, Measurement] => [
  id,
  reason === undefined ? { id, value: 1, unit: 'mm' } : { id, value: null, unit: 'mm', reason },
];

test('three measures or more without a value for one reason stand behind one line; nothing is lost', () => {
  const byId = new Map([
    measured('a'),
    measured('b', 'no faces'),
    measured('c', 'no tip'),
    measured('d', 'no faces'),
    measured('e', 'no tip'),
    measured('f', 'no faces'),
  ]);
  const { told, unmeasured } = sharedReasons(rows, byId);
  expect(told.map(({ id }) => id)).toEqual(['a', 'c', 'e']);
  expect(unmeasured).toEqual([{ reason: 'no faces', rows: [rows[1], rows[3], rows[5]] }]);
});

test('where all have values every line stands for itself', () => {
  const byId = new Map(rows.map(({ id }) => measured(id)));
  expect(sharedReasons(rows, byId)).toEqual({ told: rows, unmeasured: [] });
});
