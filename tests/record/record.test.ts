import Ajv from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import schema from '../../docs/specimen.schema.json';
import { findProblem, readRecord } from '../../src/record/read.ts';
import { RecordError, type SpecimenRecord } from '../../src/record/schema.ts';
import { writeRecord } from '../../src/record/write.ts';
import { makeRecord } from './fixture.ts';

// ajv is a second reading of the published schema, by other hands than the one the program uses.
const matches = new Ajv({ strict: true, allowUnionTypes: true }).compile(schema);

const refusal = (text: string): { code: string; message: string } => {
  try {
    readRecord(text);
  } catch (error) {
    if (error instanceof RecordError) return { code: error.code, message: error.message };
    throw error;
  }
  return { code: 'accepted', message: '' };
};

/** The record's text with one place changed. */
const changed = (change: (record: Record<string, unknown>) => void): string => {
  const record = JSON.parse(writeRecord(makeRecord())) as Record<string, unknown>;
  change(record);
  return JSON.stringify(record);
};

describe('a written record', () => {
  test('holds to the published schema', () => {
    expect(matches(JSON.parse(writeRecord(makeRecord()))), JSON.stringify(matches.errors)).toBe(true);
  });

  test('reads back to the same record, which writes the same bytes', () => {
    const record = makeRecord();
    const text = writeRecord(record);
    expect(readRecord(text)).toEqual(record);
    expect(writeRecord(readRecord(text))).toBe(text);
    expect(writeRecord(makeRecord())).toBe(text);
  });

  test('has its keys in the order of the schema, however the object came about', () => {
    const record = makeRecord();
    const backwards = Object.fromEntries(Object.entries(record).toReversed()) as unknown as SpecimenRecord;
    expect(writeRecord(backwards)).toBe(writeRecord(record));
    expect(Object.keys(JSON.parse(writeRecord(record)))).toEqual(Object.keys(schema.properties));
  });

  test('rounds by uncertainty: two figures of u and two to spare', () => {
    const [length, width] = makeRecord().measurements;
    expect(length).toMatchObject({ value: 120.01235, u: 0.02346, components: { noise: 0.01225 } });
    expect(width).toMatchObject({ value: 41.87654, u: 0.0312 });
  });

  test('says null where a number is not to be had, and tells a warning once', () => {
    const record = makeRecord();
    expect(record.series.edgeAngle.angle[7]).toBeNull();
    expect(record.humps[0].edgeAngle.right).toBeNull();
    expect(record.warnings.map(({ code }) => code)).toEqual(['units-guessed', 'ends-alike']);
  });

  test('profile is the envelope of both faces', () => {
    const { y, faceA, faceB } = makeRecord().profile;
    expect(y.length).toBe(240);
    const peak = faceA.indexOf(Math.max(...faceA));
    expect(y[peak]).toBeGreaterThan(60);
    expect(y[peak]).toBeLessThan(72);
    for (let i = 0; i < y.length; i++) expect(faceA[i]).toBeGreaterThanOrEqual(faceB[i]);
  });

  test.each([
    '<script>alert(1)</script>.ply',
    '"; drop table stones; --.ply',
    'two\nlines.ply',
    '=cmd|calc.ply',
    '../../etc/passwd',
    '石器 – nº 3.ply',
    '\u2028\u0000.ply',
  ])('keeps the file name %j as text', (name) => {
    const text = writeRecord(makeRecord(name));
    expect(readRecord(text).source.file).toBe(name);
    expect(matches(JSON.parse(text))).toBe(true);
  });

  test('any catalogue text comes back unchanged (100 seeded cases)', () => {
    const record = makeRecord();
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (number) => {
        // Lone surrogates can't stand in UTF-8; JSON text escapes them.
        return readRecord(writeRecord({ ...record, catalogue: { number } })).catalogue.number === number;
      }),
      { numRuns: 100, seed: 7 },
    );
  });
});

describe('reading refuses, in one sentence', () => {
  test('text that is not JSON, or not a record', () => {
    expect(refusal('').code).toBe('record-json');
    expect(refusal('{"format": "knapgauge-spec').code).toBe('record-json');
    expect(refusal('[]').code).toBe('record-format');
    expect(refusal('null').code).toBe('record-format');
    expect(refusal(changed((r) => delete r.format)).code).toBe('record-format');
  });

  test('a newer version, saying so', () => {
    const newer = refusal(changed((record) => Object.assign(record, { version: 2, surprise: [] })));
    expect(newer.code).toBe('record-newer');
    expect(newer.message).toContain('version 2');
    expect(newer.message).toContain('untouched');
  });

  test('a version that never was', () => {
    for (const version of [0, -1, 0.5, '1', null]) {
      expect(refusal(changed((record) => Object.assign(record, { version }))).code).toBe('record-format');
    }
  });

  test('a missing, unknown or misshapen entry, naming it', () => {
    expect(refusal(changed((r) => delete r.midline)).message).toContain('midline');
    expect(refusal(changed((r) => Object.assign(r, { extra: 1 }))).message).toContain('extra');
    const wrong = refusal(changed((r) => Object.assign((r.measurements as object[])[3], { value: {} })));
    expect(wrong.code).toBe('record-shape');
    expect(wrong.message).toContain('/measurements/3/value');
  });

  test('columns of unequal length, a measure twice, an id of another scan', () => {
    const short = refusal(changed((r) => (r.profile as { y: number[] }).y.pop()));
    expect(short.message).toContain('profile');
    const twice = refusal(changed((r) => (r.measurements as object[]).push((r.measurements as object[])[0])));
    expect(twice.message).toContain('length stands twice');
    expect(refusal(changed((r) => Object.assign(r, { id: '0'.repeat(16) }))).message).toContain('id');
  });

  test('infinity, keys that reach prototypes, nesting without end', () => {
    const text = writeRecord(makeRecord());
    expect(refusal(text.replace('"mmPerUnit": 1', '"mmPerUnit": 1e999')).message).toContain(
      'not a finite number',
    );
    for (const key of ['__proto__', 'constructor', 'prototype']) {
      const evil = text.replace('"catalogue": {}', `"catalogue": {"${key}": {"polluted": true}}`);
      expect(evil).not.toBe(text);
      expect(refusal(evil).message).toContain(key);
      const inSeries = text.replace('"series": {', `"series": {"${key}": {"a": [1]},`);
      expect(refusal(inSeries).message).toContain(key);
    }
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
    const deep = text.replace('"catalogue": {}', `"catalogue": ${'['.repeat(50_000)}${']'.repeat(50_000)}`);
    expect(refusal(deep).code).toMatch(/record-(shape|json)/);
  });

  test('every damaged record that the outside checker refuses (300 seeded cases)', () => {
    const text = writeRecord(makeRecord());
    fc.assert(
      fc.property(
        fc.nat(text.length - 1),
        fc.constantFrom('x', '0', '"', '{', ']', '-', 'null'),
        (at, put) => {
          const mutated = text.slice(0, at) + put + text.slice(at + 1);
          let value: unknown;
          try {
            value = JSON.parse(mutated);
          } catch {
            return refusal(mutated).code === 'record-json';
          }
          return matches(value) || findProblem(value) !== undefined;
        },
      ),
      { numRuns: 300, seed: 11 },
    );
  });
});
