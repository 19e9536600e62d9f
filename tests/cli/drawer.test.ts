import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Schema, Validator } from '@cfworker/json-schema';
import { csvParse } from 'd3-dsv';
import { beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { readRecord } from '../../src/record/read.ts';
import { bytesUnder, killedAfter, knapgauge, newFolder, smallScan } from './run.ts';

const BAD = 'bad =1+1.ply';
let scans: string;
let whole: string;

const rowsOf = (folder: string, table: string) => csvParse(readFileSync(join(folder, table), 'utf8'));

beforeAll(() => {
  scans = newFolder();
  mkdirSync(join(scans, 'shelf'));
  for (const [k, shape] of (['ovate', 'lanceolate', 'cordate', 'triangular'] as const).entries()) {
    writeFileSync(join(scans, k % 2 === 0 ? '' : 'shelf', `${shape}.ply`), smallScan(shape));
  }
  writeFileSync(join(scans, BAD), 'ply\nformat ascii 1.0\nthis is no header\n');
  whole = newFolder();
  const run = knapgauge(['drawer', scans, '--out', whole, '--unit', 'mm', '--jobs', '1']);
  expect(run.code).toBe(3);
});

describe('knapgauge drawer', () => {
  test('measures what it can, and a bad file is a row of failures.csv', () => {
    expect(rowsOf(whole, 'specimens.csv').map(({ name }) => name)).toEqual(
      ['ovate', 'shelf-lanceolate', 'cordate', 'shelf-triangular'].toSorted((a, b) => (a < b ? -1 : 1)),
    );
    const failures = rowsOf(whole, 'failures.csv');
    expect(failures.map(({ file }) => file)).toEqual([BAD]);
    expect(failures[0].message.length).toBeGreaterThan(10);
    expect(readFileSync(join(whole, 'index.html'), 'utf8')).toContain('1 piece was not measured');
  });

  test('the tables say what the records say, to the last digit, as Python’s csv reads them', () => {
    const read = execFileSync('/usr/bin/python3', [
      '-c',
      'import csv, json, sys; print(json.dumps([dict(r) for r in csv.DictReader(open(sys.argv[1], newline="", encoding="utf-8"))]))',
      join(whole, 'specimens.csv'),
    ]);
    const rows = JSON.parse(String(read)) as Record<string, string>[];
    const long = rowsOf(whole, 'measurements.csv');
    for (const row of rows) {
      const record = readRecord(readFileSync(join(whole, 'pieces', `${row.name}.specimen.json`), 'utf8'));
      const value = (id: string) => record.measurements.find((measured) => measured.id === id)?.value;
      expect(Number(row.length_mm)).toBe(value('length'));
      expect(Number(row['edge.angle.mean_deg'])).toBe(value('edge.angle.mean'));
      expect(Number(row['width.thickness'])).toBe(value('width.thickness'));
      expect(row['section.50.form']).toBe(value('section.50.form'));
      const mine = long.filter(({ name }) => name === row.name);
      expect(mine.length).toBe(record.measurements.length);
      for (const [k, { id, value: one, u }] of record.measurements.entries()) {
        expect([mine[k].measure, mine[k].value, mine[k].word, mine[k].u]).toEqual([
          id,
          typeof one === 'string' ? '' : String(one ?? ''),
          typeof one === 'string' ? one : '',
          u === undefined ? '' : String(u),
        ]);
      }
      const outline = rowsOf(whole, 'outlines.csv').filter(({ name }) => name === row.name);
      expect(outline.map(({ x_mm, y_mm }) => [Number(x_mm), Number(y_mm)])).toEqual(record.outline.outer);
    }
  });

  test('is a data package, its tables a tabular one, by the published JSON schemas (specs.frictionlessdata.io, as shipped in npm’s datapackage 1.1.10)', () => {
    const descriptor = JSON.parse(readFileSync(join(whole, 'datapackage.json'), 'utf8'));
    const isTable = ({ format }: { format: string }): boolean => format === 'csv';
    const tables = { ...descriptor, resources: descriptor.resources.filter(isTable) };
    for (const [name, one] of [
      ['data-package', descriptor],
      ['tabular-data-package', { ...tables, profile: 'tabular-data-package' }],
    ] as const) {
      const path = join(ROOT, `tests/outside/frictionless/${name}.json`);
      const schema = JSON.parse(readFileSync(path, 'utf8')) as Schema;
      const { valid, errors } = new Validator(schema, '4').validate(one);
      expect(errors.slice(0, 3)).toEqual([]);
      expect(valid).toBe(true);
      expect(new Validator(schema, '4').validate({ ...one, resources: [{}] }).valid).toBe(false);
    }
    expect(tables.resources.length).toBe(descriptor.resources.length - 1);
    for (const { path, bytes, hash, format, schema: table } of descriptor.resources) {
      const content = readFileSync(join(whole, path));
      expect(content.length).toBe(bytes);
      expect(`sha256:${createHash('sha256').update(content).digest('hex')}`).toBe(hash);
      if (format !== 'csv') continue;
      expect(csvParse(content.toString('utf8')).columns).toEqual(
        table.fields.map(({ name }: { name: string }) => name),
      );
    }
  });

  test('two at once, or in three parts and merged: the same bytes', () => {
    const two = newFolder();
    expect(knapgauge(['drawer', scans, '--out', two, '--unit', 'mm', '--jobs', '2']).code).toBe(3);
    expect(bytesUnder(two)).toEqual(bytesUnder(whole));
    const parts = [1, 2, 3].map((k) => {
      const part = newFolder();
      knapgauge(['drawer', scans, '--out', part, '--unit', 'mm', '--jobs', '1', '--shard', `${k}/3`]);
      return part;
    });
    const merged = newFolder();
    expect(knapgauge(['merge', parts[2], parts[0], parts[1], '--out', merged]).code).toBe(3);
    expect(bytesUnder(merged)).toEqual(bytesUnder(whole));
    const lacking = knapgauge(['merge', parts[0], parts[1], '--out', newFolder()]);
    expect([lacking.code, lacking.err]).toEqual([2, expect.stringContaining('Part 3/3 is missing.')]);
  });

  test('killed at any moment, it goes on where it was: the end is that of an undisturbed run', async () => {
    const out = newFolder();
    let finished = 0;
    for (const wait of [900, 1500, 2100]) {
      await killedAfter(wait, ['drawer', scans, '--out', out, '--unit', 'mm', '--jobs', '1']);
      const pieces = join(out, 'pieces');
      const records = existsSync(pieces)
        ? readdirSync(pieces).filter((name) => name.endsWith('.specimen.json'))
        : [];
      for (const name of records) readRecord(readFileSync(join(pieces, name), 'utf8'));
      expect(records.length).toBeGreaterThanOrEqual(finished);
      finished = records.length;
    }
    const run = knapgauge(['drawer', scans, '--out', out, '--unit', 'mm', '--jobs', '1']);
    expect(run.out).toContain('4 measured');
    expect(bytesUnder(out)).toEqual(bytesUnder(whole));
    // What is done is not done again.
    const record = join(out, 'pieces', 'ovate.specimen.json');
    const before = statSync(record).mtimeMs;
    expect(knapgauge(['drawer', scans, '--out', out, '--unit', 'mm']).out).toContain('(4 of them before)');
    expect(statSync(record).mtimeMs).toBe(before);
  });

  test('a finished drawer is left as it is; a table that was touched is written again, a damaged record is named', () => {
    const out = newFolder();
    const list = join(newFolder(), 'list.csv');
    writeFileSync(list, `file,unit\r\n${join(scans, 'ovate.ply')},mm\r\n`);
    const again = () => knapgauge(['drawer', list, '--out', out]);
    expect(again().code).toBe(0);
    const first = bytesUnder(out);
    const [table] = ['specimens.csv', 'datapackage.json'].map((name) => join(out, name));
    const written = statSync(table).mtimeMs;
    expect(again().code).toBe(0);
    expect(statSync(table).mtimeMs).toBe(written);
    writeFileSync(table, 'spoilt');
    expect(again().code).toBe(0);
    expect(bytesUnder(out)).toEqual(first);
    const [record] = readdirSync(join(out, 'pieces')).filter((name) => name.endsWith('.json'));
    const path = join(out, 'pieces', record);
    writeFileSync(
      path,
      readFileSync(path, 'utf8').replace('"id": "length"', '"id": 7').replace('"id":"length"', '"id":7'),
    );
    const damaged = again();
    expect([damaged.code, damaged.err]).toEqual([3, expect.stringContaining('Delete this file')]);
  });

  test('a list gives each piece its unit and description; find-spots stay out unless asked for', () => {
    const folder = newFolder();
    cpSync(join(scans, 'ovate.ply'), join(folder, 'a.ply'));
    const list = join(folder, 'list.csv');
    writeFileSync(
      list,
      'file,unit,catalogue_number,find_spot,cortex_a_percent\r\na.ply,mm,"=HYPERLINK(""x"")",47.1 N 8.2 E,25\r\n',
    );
    const out = newFolder();
    expect(knapgauge(['drawer', list, '--out', out]).code).toBe(0);
    const text = readFileSync(join(out, 'specimens.csv'), 'utf8');
    expect(text).toContain(`"'=HYPERLINK(""x"")"`);
    expect(text).not.toContain('47.1 N');
    expect(readFileSync(join(out, 'index.html'), 'utf8')).toContain('=HYPERLINK(&quot;x&quot;)');
    expect(rowsOf(out, 'specimens.csv')[0]).toMatchObject({
      unit: 'mm',
      scale_method: 'given',
      cortex_a_percent: '25',
    });
    expect(knapgauge(['drawer', list, '--out', out, '--find-spots']).code).toBe(0);
    expect(readFileSync(join(out, 'specimens.csv'), 'utf8')).toContain('47.1 N 8.2 E');
    // A mesh that is wanted and not there makes the piece unfinished; one in another format goes.
    for (const kind of ['glb', 'ply']) {
      expect(knapgauge(['drawer', list, '--out', out, '--mesh', kind]).out).toContain('(0 of them before)');
      expect(readdirSync(join(out, 'pieces')).filter((name) => name.includes('.oriented.'))).toEqual([
        `a.oriented.${kind}`,
      ]);
    }
  });

  test('a row of a list that can’t be used fails alone, in a sentence; empty ones are nothing', () => {
    const list = join(newFolder(), 'list.csv');
    const ovate = join(scans, 'ovate.ply');
    const rows = [
      `${ovate};mm;12,5`,
      `${ovate};mm;`,
      `${join(scans, 'shelf/lanceolate.ply')};furlong;`,
      ';mm;',
      ';;',
      'none.ply;mm;most',
    ];
    // As a spreadsheet writes it where the comma is that of decimals.
    writeFileSync(list, `file;unit;cortex_a_percent\r\n${rows.join('\r\n')}\r\n`);
    const out = newFolder();
    const run = knapgauge(['drawer', list, '--out', out]);
    expect([run.code, run.out]).toEqual([
      3,
      expect.stringContaining('1 measured (0 of them before), 4 failed'),
    ]);
    expect(rowsOf(out, 'specimens.csv').map((row) => row.cortex_a_percent)).toEqual(['12.5']);
    const failures = rowsOf(out, 'failures.csv').map(({ file, message }) => [file, message]);
    expect(failures).toEqual([
      ['(row 5)', 'Row 5 of the list: no file is named.'],
      [`${ovate} (row 3)`, `Row 3 of the list: ${ovate} is listed twice.`],
      [
        join(scans, 'shelf/lanceolate.ply'),
        expect.stringContaining('Row 4 of the list: "furlong" is no unit'),
      ],
      ['none.ply', 'Row 7 of the list: cortex_a_percent is "most"; it should be from 0 to 100.'],
    ]);
    expect(run.err.trim().split('\n')).toHaveLength(4);
  });

  test('what can’t be used is told in one sentence', () => {
    const folder = newFolder();
    const list = join(folder, 'list.csv');
    const told = (text: string): string => {
      writeFileSync(list, text);
      const run = knapgauge(['drawer', list, '--out', newFolder()]);
      expect(run.code).toBe(2);
      return run.err;
    };
    expect(told('name\r\nx\r\n')).toContain('a column "file"');
    expect(told('file,colour\r\na.ply,red\r\n')).toContain('no column "colour"');
    expect(knapgauge(['drawer', join(folder, 'none'), '--out', newFolder()]).err).toContain('no such folder');
    expect(knapgauge(['drawer', newFolder(), '--out', newFolder()]).err).toContain('no scans');
    expect(knapgauge(['drawer', scans, '--out', newFolder(), '--shard', '4/3']).code).toBe(2);
  });
});
