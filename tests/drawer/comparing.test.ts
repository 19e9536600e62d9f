import { describe, expect, test } from 'vitest';
import { toCollection } from '../../src/drawer/collection.ts';
import { compareGroups } from '../../src/drawer/compareGroups.ts';
import { bandPlaces, continuum } from '../../src/drawer/continuum.ts';
import { FOURIER_NUMBERS, type LeanPiece, RING_POINTS, SIDE_POINTS, toLean } from '../../src/drawer/lean.ts';
import { readForComparing } from '../../src/drawer/leanRead.ts';
import { meanOutline } from '../../src/drawer/meanOutline.ts';
import { leanReadings, type Rater } from '../../src/drawer/repeatLean.ts';
import { repeatSet } from '../../src/drawer/repeatSet.ts';
import { SHAPE_REACH, shapeSpace } from '../../src/drawer/shapeSpace.ts';
import { upperFence } from '../../src/drawer/statsFence.ts';
import { ellipticFourier, normalizeFourier } from '../../src/geometry/ellipticFourier.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { writeRecord } from '../../src/record/write.ts';
import { createRandom } from '../pieces/random.ts';
import { madeRecords, ovateRecord } from './madeRecords.ts';

/** Outline of an ellipse with half axes a (across) and b (along), base at y = 0, counter-clockwise. */
function ellipse(a: number, b: number): [number, number][] {
  return Array.from({ length: 400 }, (_, i) => {
    const t = (2 * Math.PI * i) / 400;
    return [a * Math.cos(t), b + b * Math.sin(t)];
  });
}

function fourierOf(points: readonly (readonly [number, number])[]): Float64Array {
  const { a, b, c, d } = normalizeFourier(ellipticFourier(Float64Array.from(points.flat()), 20), 0, 1);
  return Float64Array.from({ length: FOURIER_NUMBERS }, (_, i) => [a, b, c, d][i % 4][Math.floor(i / 4)]);
}

async function lean(outer: [number, number][], key: string): Promise<LeanPiece> {
  const record = await ovateRecord();
  return { ...toLean({ ...record, outline: { outer, inner: [] } }, key), fourier: fourierOf(outer) };
}

describe('the lean part of a record', () => {
  test('holds names, values and groups of the record', async () => {
    const [record] = await madeRecords(1, 1);
    const piece = toLean(record, 'k');
    expect(piece.name).toBe('GEN 1');
    expect(piece.groups.material).toBe(record.catalogue.material);
    expect(piece.groups.kind).toBe('scan');
    const length = record.measurements.find(({ id }) => id === 'length');
    expect(piece.values.get('length')).toEqual({ value: length?.value, u: length?.u });
    const rough = toLean(
      {
        ...record,
        measurements: record.measurements.map((one) =>
          one.id === 'length'
            ? { ...one, minimum: true }
            : one.id === 'width'
              ? { ...one, estimated: true }
              : one,
        ),
      },
      'rough',
    );
    const { measures } = toCollection([piece, rough]);
    const marks = (id: string) => [...(measures.find((one) => one.id === id)?.rough ?? [])];
    expect(marks('length')).toEqual([[1, 'minimum']]);
    expect(marks('width')).toEqual([[1, 'estimated']]);
    expect(marks('area')).toEqual([]);
    expect(piece.fourier.every(Number.isFinite)).toBe(true);
  });

  test('pairs outlines from tip to base, about the centroid, left side first', async () => {
    const { ring, size } = await lean(ellipse(20, 40), 'e');
    expect(size).toBeCloseTo(Math.sqrt(Math.PI * 800), 1);
    // The tip, the base, and the middles of both sides.
    const at = (p: number): number[] => [ring[2 * p], ring[2 * p + 1]];
    expect(at(0)[1]).toBeCloseTo(40, 2);
    expect(at(SIDE_POINTS - 1)[1]).toBeCloseTo(-40, 2);
    expect(at((SIDE_POINTS - 1) / 2)[0]).toBeCloseTo(-20, 2);
    expect(at(RING_POINTS - (SIDE_POINTS - 1) / 2)[0]).toBeCloseTo(20, 2);
  });
});

describe('mean outline and spread', () => {
  test('of circles of radius 9, 10 and 11: radius 10, spread 1; none at unit area', async () => {
    const pieces = await Promise.all([9, 10, 11].map((r) => lean(ellipse(r, r), String(r))));
    const collection = toCollection(pieces);
    const { mean, spread, outer } = meanOutline(collection, [0, 1, 2], 'true');
    for (let p = 0; p < RING_POINTS; p++) {
      expect(Math.hypot(mean[2 * p], mean[2 * p + 1])).toBeCloseTo(10, 2);
      expect(spread[p]).toBeCloseTo(1, 2);
      expect(Math.hypot(outer[2 * p], outer[2 * p + 1])).toBeCloseTo(11, 2);
    }
    const { distances } = meanOutline(collection, [0, 1, 2], 'true');
    expect(Array.from(distances, (d) => Math.round(100 * d) / 100)).toEqual([1, 0, 1]);
    const unit = meanOutline(collection, [0, 1, 2], 'unit');
    expect(Math.max(...unit.spread)).toBeLessThan(1e-6);
    expect(Math.hypot(unit.mean[0], unit.mean[1])).toBeCloseTo(1 / Math.sqrt(Math.PI), 3);
    expect(meanOutline(collection, [1], 'true').spread[0]).toBeNaN();
  });
});

describe('shape space', () => {
  test('of ellipses that differ in width alone has one axis, and it is that', async () => {
    const widths = [10, 14, 18, 22, 26];
    const collection = toCollection(await Promise.all(widths.map((w) => lean(ellipse(w, 40), String(w)))));
    const space = shapeSpace(collection.fourier, [0, 1, 2, 3, 4]);
    if (space === null) throw new Error('no space');
    const [axis] = space.axes;
    // The third harmonic of an ellipse by arc length is no straight function of its width: that takes a thousandth.
    expect(axis.share).toBeGreaterThan(0.99);
    const order = [...axis.scores].map((_, i) => i).sort((a, b) => axis.scores[a] - axis.scores[b]);
    expect([order.join(), order.toReversed().join()]).toContain('0,1,2,3,4');
    // The outline at either end is an ellipse as wide as its place says: half-width over half-length.
    const wide = (ring: Float64Array): number => Math.max(...ring.filter((_, j) => j % 2 === 0));
    const sd = Math.sqrt(widths.reduce((sum, w) => sum + (w / 40 - 0.45) ** 2, 0) / 4);
    const ends = [wide(axis.low), wide(axis.high)].sort((a, b) => a - b);
    expect(ends[0]).toBeCloseTo(0.45 - SHAPE_REACH * sd, 1);
    expect(ends[1]).toBeCloseTo(0.45 + SHAPE_REACH * sd, 1);
    // Tip up: the long axis is upright.
    const reach = (side: 0 | 1): number => Math.max(...space.mean.filter((_, j) => j % 2 === side));
    expect(reach(1)).toBeGreaterThan(2 * reach(0));
  });

  test('leaves out pieces without coefficients, and needs three', () => {
    const rows = new Float64Array(4 * FOURIER_NUMBERS).map((_, i) => Math.sin(i * i));
    rows[FOURIER_NUMBERS] = NaN;
    expect([...(shapeSpace(rows, [0, 1, 2, 3])?.which ?? [])]).toEqual([0, 2, 3]);
    expect(shapeSpace(rows, [0, 1, 2])).toBeNull();
  });
});

describe('the continuum', () => {
  test('ranks within the collection, later work to the right', async () => {
    const records = await madeRecords(30, 5);
    const collection = toCollection(records.map((record, i) => toLean(record, String(i))));
    const rows = continuum(
      collection,
      records.map((_, i) => i),
    );
    const [ratio, angle] = rows;
    expect(ratio.row.id).toBe('width.thickness');
    const best = (values: Float64Array): number => values.indexOf(Math.max(...values));
    expect(best(ratio.place)).toBe(best(ratio.value));
    expect(best(angle.place)).toBe(best(angle.value.map((v) => -v)));
    const [from, to] = bandPlaces(ratio, { from: 0, to: Infinity, label: '' });
    expect([from, to]).toEqual([0, 1]);
    const below = ratio.value.filter((v) => v < 3.8).length / 30;
    expect(bandPlaces(ratio, { from: 3.8, to: Infinity, label: '' })[0]).toBeCloseTo(below, 12);
  });
});

test('groups are compared in each measure, and p is corrected for all of them', () => {
  const random = createRandom(4);
  const column = (shift: number) => {
    const value = Float64Array.from({ length: 40 }, (_, i) => random.normal() + (i < 20 ? 0 : shift));
    return { id: `m${shift}`, name: '', unit: 'mm' as const, value, u: value, rough: new Map() };
  };
  const [first, second] = [0, 20].map((from) => Int32Array.from({ length: 20 }, (_, i) => from + i));
  const found = compareGroups([column(0), column(2)], first, second, 'holm');
  expect(found[1].effect.difference).toBeGreaterThan(1);
  expect(found[1].corrected).toBeCloseTo(2 * found[1].test.p, 12);
  expect(found[1].corrected).toBeLessThan(0.01);
  expect(found[0].corrected).toBeGreaterThan(0.01);
});

test('the fence stands where Tukey put it, and needs four values', () => {
  // Quartiles of 1…5 by definition 7 are 2 and 4.
  expect(upperFence(Float64Array.of(1, 2, 3, 4, 5))).toBe(7);
  expect(upperFence(Float64Array.of(1, 2, 3))).toBeNaN();
});

describe('a repeat set of lean pieces', () => {
  const question = { mark: 'number', raters: 'observer' } as const;
  async function pieces(): Promise<LeanPiece[]> {
    const [one, two, three] = await madeRecords(3, 2);
    const lean = (
      record: SpecimenRecord,
      key: string,
      catalogue: SpecimenRecord['catalogue'],
      file: string,
    ) => toLean({ ...record, catalogue, source: { ...record.source, file } }, key);
    return [
      lean(one, 'a', { number: 'QT 1', observer: 'Ann', occasion: '1' }, 'p-1-ann.ply'),
      lean(two, 'b', { number: 'qt1', observer: 'Ben', occasion: '1' }, 'p-1-ben.ply'),
      lean(three, 'c', { observer: 'Ann', occasion: '2' }, 'p-1_ann2.ply'),
      lean(three, 'd', { number: 'QT 2', observer: 'Ann' }, 'other.ply'),
    ];
  }

  test('records of one piece are told by number or file name; who they are by, as asked', async () => {
    const all = await pieces();
    const { readings, unmarked, keys } = leanReadings(all, question);
    expect(readings.map(({ piece, rater }) => [piece, rater])).toEqual([
      ['QT 1', 'Ann'],
      ['QT 1', 'Ben'],
      ['QT 2', 'Ann'],
    ]);
    expect(unmarked).toEqual(['p-1_ann2']);
    expect(keys.get('QT 1')).toEqual(['a', 'b']);
    const byFile = leanReadings(all, { mark: 'file', raters: 'file' });
    expect(byFile.readings.map(({ piece, rater }) => [piece, rater])).toEqual([
      ['p-1', 'ann'],
      ['p-1', 'ben'],
      ['p-1', 'ann2'],
      ['other', ''],
    ]);
    const raters = (asked: Rater): string[] =>
      leanReadings(all, { mark: 'file', raters: asked, which: ['a', 'c'] }).readings.map(
        ({ rater }) => rater,
      );
    expect(raters('occasion')).toEqual(['1', '2']);
    expect(raters('observer-occasion')).toEqual(['Ann, 1', 'Ann, 2']);
    expect(raters('kind')).toEqual(['scan', 'scan']);
    expect(raters('none')).toEqual(['', '']);
  });

  test('gives the technical error that the two values give by hand: |a − b|/√2', async () => {
    const all = await pieces();
    const [length] = repeatSet(leanReadings(all, question).readings, ['length']).measures;
    const [a, b] = all.map(({ values }) => values.get('length')?.value ?? NaN);
    expect(length.all.tem).toBeCloseTo(Math.abs(a - b) / Math.SQRT2, 9);
    expect(length.pairs[0].differences[0]).toBeCloseTo(b - a, 9);
  });
});

describe('reading records to compare', () => {
  test('gives what the careful reader gives', async () => {
    const record = await ovateRecord();
    const read = toLean(readForComparing(writeRecord(record)), 'k');
    expect(read).toEqual(toLean(record, 'k'));
  });

  const damage: readonly (readonly [string, (record: SpecimenRecord) => unknown])[] = [
    ['its outline', (r) => ({ ...r, outline: { outer: [[0, 1]], inner: [] } })],
    [
      'its outline',
      (r) => ({
        ...r,
        outline: {
          outer: [
            [0, 1],
            [1, 'x'],
            [2, 2],
          ],
          inner: [],
        },
      }),
    ],
    ['its measurements', (r) => ({ ...r, measurements: [{ id: 'length', value: {} }] })],
    ['its measurements', (r) => ({ ...r, measurements: 7 })],
    ['its source', (r) => ({ ...r, source: null })],
    ['catalogue', (r) => ({ ...r, catalogue: [] })],
    ['catalogue number', (r) => ({ ...r, catalogue: { number: 7 } })],
    ['fourier', (r) => ({ ...r, series: { fourier: { a: 'x' } } })],
    ['not a record', () => ({ a: 1 })],
    ['newer', (r) => ({ ...r, version: 99 })],
  ];
  test.each(damage)('refuses a damaged one: %s', async (words, spoil) => {
    const text = JSON.stringify(spoil(await ovateRecord()));
    expect(() => readForComparing(text)).toThrow(words);
  });

  test('refuses text that is not JSON', () => {
    expect(() => readForComparing('{')).toThrow('not JSON');
  });
});
