import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { knapgauge, newFolder, smallScan } from './run.ts';

const folder = newFolder();
const scan = join(folder, 'ovate.ply');
const record = join(folder, 'ovate.specimen.json');

beforeAll(() => {
  writeFileSync(scan, smallScan('ovate'));
  expect(knapgauge(['measure', scan, '-o', folder, '-q']).code).toBe(0);
});

/** A copy of the record with its text changed, in a folder of its own. */
const changed = (from: string, to: string): string => {
  const path = join(newFolder(), 'changed.specimen.json');
  const text = readFileSync(record, 'utf8');
  expect(text).toContain(from);
  writeFileSync(path, text.replace(from, to));
  return path;
};

test('a record beside its scan is in order', () => {
  const run = knapgauge(['check', record]);
  expect(run).toMatchObject({ code: 0, err: '' });
  expect(run.out).toContain('its scan ovate.ply is unchanged');
});

test('a record alone is in order, its scan not there', () => {
  const path = join(newFolder(), 'alone.specimen.json');
  copyFileSync(record, path);
  expect(knapgauge(['check', path]).out).toContain(
    `its scan ovate.ply is not in ${dirname(path)}: --scans says where`,
  );
  expect(knapgauge(['check', path, '--scans', folder]).out).toContain('unchanged');
  expect(knapgauge(['check', path, '-q'])).toEqual({ code: 0, out: '', err: '' });
});

test('a scan that has changed by one bit is told', () => {
  const other = newFolder();
  const bytes = readFileSync(scan);
  bytes[bytes.length - 100] ^= 1;
  writeFileSync(join(other, 'ovate.ply'), bytes);
  const run = knapgauge(['check', record, '--scans', other]);
  expect(run.code).toBe(3);
  expect(run.err).toContain('is not the scan that was measured');
});

test('damaged, newer and foreign records are refused, each in one sentence; the good one is still checked', () => {
  const paths = [
    changed('"version": 1', '"version": 3'),
    changed('"midline"', '"midlime"'),
    changed('"knapgauge-specimen"', '"other"'),
    join(folder, 'nowhere.json'),
    scan,
  ];
  const run = knapgauge(['check', ...paths, record]);
  expect(run.code).toBe(3);
  const lines = run.err.trimEnd().split('\n');
  expect(lines.map((line) => paths.findIndex((path) => line.includes(path)))).toEqual([0, 1, 2, 3, 4]);
  expect(lines[0]).toContain('version 3');
  expect(run.out).toContain('in order');
});

test('a record can’t point the check at a file elsewhere', () => {
  for (const name of ['../secret', '/etc/hostname', '..']) {
    const run = knapgauge(['check', changed('"file": "ovate.ply"', `"file": "${name}"`)]);
    expect(run).toMatchObject({ code: 0, err: '' });
    expect(run.out).toContain('was not looked for');
  }
});
