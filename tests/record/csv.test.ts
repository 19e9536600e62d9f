import { spawnSync } from 'node:child_process';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { measuresCsv, seriesCsv, writeCsv } from '../../src/record/csv.ts';
import { makeRecord } from './fixture.ts';

/** Rows as Python's csv module reads them: a reader by other hands. */
function readByPython(text: string): string[][] {
  const program =
    'import csv,io,json,sys\nt=sys.stdin.buffer.read().decode("utf-8")\nprint(json.dumps(list(csv.reader(io.StringIO(t,newline=""),strict=True))))';
  const run = spawnSync('/usr/bin/python3', ['-c', program], { input: text, encoding: 'utf8' });
  expect(run.stderr).toBe('');
  return JSON.parse(run.stdout) as string[][];
}

describe('CSV', () => {
  test('commas, quotes and line ends inside a cell come back (Python csv)', () => {
    const cells = [
      'a,b',
      'say "flint"',
      'two\r\nlines',
      'lone\rreturn',
      'lone\nfeed',
      ' spaces ',
      'nº 石',
      '',
    ];
    expect(readByPython(writeCsv(['one', 'two'], [cells]))).toEqual([['one', 'two'], cells]);
  });

  test('text that a spreadsheet would run gets an apostrophe; numbers stay numbers', () => {
    const text = writeCsv(
      ['x'],
      [['=1+1'], ['+1'], ['-1'], ['@SUM(A1)'], ['\t=1'], ['\r=1'], [-1.5], [1e-7], ['a=1']],
    );
    expect(readByPython(text).flat()).toEqual([
      'x',
      "'=1+1",
      "'+1",
      "'-1",
      "'@SUM(A1)",
      "'\t=1",
      "'\r=1",
      '-1.5',
      '1e-7',
      'a=1',
    ]);
  });

  test('what is not there is an empty cell', () => {
    expect(writeCsv(['a', 'b', 'c', 'd'], [[null, undefined, NaN, Infinity]])).toBe('a,b,c,d\r\n,,,\r\n');
  });

  test('any table of text comes back, apostrophes aside (Python csv, 60 seeded tables in one)', () => {
    const rows = fc.sample(fc.array(fc.string({ unit: 'grapheme' }), { minLength: 3, maxLength: 3 }), {
      numRuns: 60,
      seed: 5,
    });
    const back = readByPython(writeCsv(['a', 'b', 'c'], rows)).slice(1);
    const expected = rows.map((row) => row.map((cell) => (/^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell)));
    expect(back).toEqual(expected);
  });

  test('measures: one row each, numbers as in the record, empty where it does not apply', () => {
    const record = makeRecord();
    const [header, ...rows] = readByPython(measuresCsv(record));
    expect(header).toEqual(['id', 'name', 'value', 'unit', 'u', 'word', 'definition', 'note']);
    expect(rows.map(([id]) => id)).toEqual(record.measurements.map(({ id }) => id));
    const byId = new Map(rows.map((row) => [row[0], row]));
    expect(byId.get('length')?.[2]).toBe('120.01235');
    expect(byId.get('length')?.[4]).toBe('0.02346');
    // The column of values holds numbers alone: a program that reads it takes them for numbers.
    expect(rows.filter(([, , value]) => Number.isNaN(Number(value)))).toEqual([]);
    expect(byId.get('section.50.form')?.slice(2, 6)).toEqual(['', 'text', '', 'biconvex']);
    expect(byId.get('mass.estimated')?.[2]).toBe('');
    const why = record.measurements.find(({ id }) => id === 'mass.estimated')?.reason;
    expect(byId.get('mass.estimated')?.[7]).toBe(why);
  });

  test('series: columns by name, nothing where the record says null', () => {
    const { series } = makeRecord();
    const [header, ...rows] = readByPython(seriesCsv(series.edgeAngle));
    expect(header).toEqual(Object.keys(series.edgeAngle));
    expect(rows.length).toBe(series.edgeAngle.angle.length);
    const column = header.indexOf('angle');
    expect(rows[7][column]).toBe('');
    rows.forEach((row, i) => {
      if (row[column] !== '') expect(Number(row[column])).toBe(series.edgeAngle.angle[i]);
    });
  });
});
