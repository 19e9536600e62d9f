import { describe, expect, test } from 'vitest';
import {
  ALL_PIECES,
  type FindingState,
  findPieces,
  isNarrowed,
  wordsIn,
} from '../../src/app/state/finding.ts';
import { createPieces, type Piece } from '../../src/app/state/pieces.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import type { MeasuredPiece } from '../../workers/messages.ts';
import { makeParts } from '../record/fixture.ts';

/** A measured piece of that length; the fixture's own record otherwise. */
const PARTS = toRecord(makeParts());

function seen(length: number | null, warned: boolean): MeasuredPiece {
  const relief = { image: new Blob(), x: 0, y: 0, width: 1, height: 1 };
  return {
    record: {
      ...PARTS,
      measurements: [{ id: 'length', unit: 'mm', value: length }],
      warnings: warned ? [{ code: 'units-guessed', text: 'The unit was guessed.' }] : [],
    },
    reliefA: relief,
    reliefB: relief,
  };
}

function drawer(): readonly Piece[] {
  const store = createPieces([]);
  const names = ['b.ply', 'a.ply', 'c.ply', 'd.ply'];
  const [b, a, c, d] = store.add(names.map((name) => new File([], name)));
  store.edit(b.id, { catalogue: { number: 'QT 41/12', material: 'chert', notes: 'Snapped in the hand.' } });
  store.edit(a.id, { catalogue: { number: 'QT 41/7', material: 'obsidian', condition: 'snapped' } });
  store.edit(c.id, { catalogue: { number: 'QT 41/1', material: 'chert', collection: 'Hill' } });
  store.update(b.id, { seen: seen(80, true) });
  store.update(a.id, { seen: seen(120, false) });
  store.update(c.id, { seen: seen(null, true) });
  expect(store.find(d.id)?.seen).toBeUndefined();
  return store.getState().pieces;
}

const titles = (asked: Partial<FindingState>): string =>
  findPieces(drawer(), { ...ALL_PIECES, ...asked })
    .map(({ title }) => title)
    .join('');

describe('finding in the drawer', () => {
  test('every word must stand somewhere in number, title, notes, collection or raw material', () => {
    expect(titles({ text: 'snapped' })).toBe('b');
    expect(titles({ text: ' QT  chert ' })).toBe('cb');
    expect(titles({ text: 'hill' })).toBe('c');
    expect(titles({ text: 'hill obsidian' })).toBe('');
  });

  test('filters by warnings, condition, raw material and collection', () => {
    expect(titles({ warnings: 'with' })).toBe('cb');
    expect(titles({ warnings: 'without' })).toBe('a');
    expect(titles({ condition: 'snapped' })).toBe('a');
    expect(titles({ material: 'chert', warnings: 'with', collection: 'Hill' })).toBe('c');
  });

  test('sorts both ways; what has no number comes last either way', () => {
    expect(titles({ sort: 'opened', rising: false })).toBe('dcab');
    expect(titles({ sort: 'opened', rising: true })).toBe('bacd');
    expect(titles({ sort: 'name', rising: true })).toBe('abcd');
    expect(titles({ sort: 'number', rising: true })).toBe('cabd');
    expect(titles({ sort: 'number', rising: false })).toBe('bacd');
    expect(titles({ sort: 'length', rising: true }).slice(0, 2)).toBe('ba');
    expect(titles({ sort: 'length', rising: false }).slice(0, 2)).toBe('ab');
  });

  test('says whether something is asked, and which words there are', () => {
    expect(isNarrowed({ ...ALL_PIECES, sort: 'length', text: ' ' })).toBe(false);
    expect(isNarrowed({ ...ALL_PIECES, warnings: 'with' })).toBe(true);
    expect(wordsIn(drawer(), 'material')).toEqual(['chert', 'obsidian']);
  });
});
