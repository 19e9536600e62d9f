import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { measureScan } from '../../src/record/measureScan.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { writeRecord } from '../../src/record/write.ts';
import { filesIn, knapgauge, newFolder, smallScan } from './run.ts';

let base: SpecimenRecord;
beforeAll(async () => {
  base = (await measureScan(smallScan('ovate'), 'ovate.ply', DEFAULT_SETTINGS)).record;
});

/** The record of another reading: every length, width and so on made `factor` times as large and moved by `shift`. */
function reading(number: string, observer: string, length: number): SpecimenRecord {
  return {
    ...base,
    catalogue: { number, observer },
    measurements: base.measurements.map((m) => (m.id === 'length' ? { ...m, value: length } : m)),
  };
}

/** Six pieces by four observers: the lengths are the table of Shrout & Fleiss 1979. */
const TABLE = [
  [9, 2, 5, 8],
  [6, 1, 3, 2],
  [8, 4, 6, 8],
  [7, 1, 2, 6],
  [10, 5, 6, 9],
  [6, 2, 4, 7],
];

function writeTable(columns: readonly number[]): string {
  const folder = newFolder();
  TABLE.forEach((row, i) => {
    for (const j of columns) {
      const record = reading(`p${i + 1}`, `o${j + 1}`, row[j]);
      writeFileSync(join(folder, `p${i + 1}-o${j + 1}.specimen.json`), writeRecord(record));
    }
  });
  return folder;
}

/** Rows of a CSV without quotes in what is looked at. */
function rowOf(text: string, id: string): Record<string, string> {
  const [header, ...rows] = text.split('\r\n');
  const row = rows.find((line) => line.startsWith(`${id},`)) ?? '';
  return Object.fromEntries(header.split(',').map((name, i) => [name, row.split(',')[i]]));
}

describe('knapgauge repeat', () => {
  test('gives the published correlations for the published table, and writes tables and a figure', () => {
    const [folder, out] = [writeTable([0, 1, 2, 3]), newFolder()];
    const run = knapgauge(['repeat', folder, '--out', out, '--measures', 'length,width']);
    expect(run.err).not.toContain('knapgauge:');
    expect(run.code).toBe(0);
    expect(run.out).toContain('6 pieces with 24 readings by o1, o2, o3, o4.');
    const files = filesIn(out);
    expect([...files.keys()]).toEqual([
      'repeat-agreement.csv',
      'repeat-readings.csv',
      'repeat.csv',
      'repeat.svg',
    ]);
    const row = rowOf(readFileSync(join(out, 'repeat.csv'), 'utf8'), 'length');
    // Shrout & Fleiss 1979, table 4.
    expect(Number(row.icc_2_1)).toBeCloseTo(0.29, 2);
    expect(Number(row.icc_3_k)).toBeCloseTo(0.91, 2);
    // The mean square within targets, their table 3.
    expect(Number(row.tem) ** 2).toBeCloseTo(6.26, 2);
    expect(row.tem_intra).toBe('');
    // A width that never changed: no error, and no correlation to speak of.
    expect(rowOf(readFileSync(join(out, 'repeat.csv'), 'utf8'), 'width').tem).toBe('0');
    const svg = readFileSync(join(out, 'repeat.svg'), 'utf8');
    expect(svg).toMatch(/^<svg [^>]*width="180mm"/);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  test('two observers get limits of agreement, told by file names as well', () => {
    const [folder, out] = [writeTable([0, 3]), newFolder()];
    const run = knapgauge([
      'repeat',
      folder,
      '--by',
      '{piece}-{observer}',
      '--measures',
      'length',
      '--out',
      out,
    ]);
    expect(run.code).toBe(0);
    // o4 less o1: −1, −4, 0, −1, −1, 1: mean −1.
    expect(run.out).toContain('Length, o4 less o1: bias -1, limits of agreement');
    const row = rowOf(readFileSync(join(out, 'repeat-agreement.csv'), 'utf8'), 'length');
    expect(Number(row.bias)).toBeCloseTo(-1, 6);
    // Deviations 0, −3, 1, 0, 0, 2: sd = √(14/5).
    expect(Number(row.lower)).toBeCloseTo(-1 - 1.959964 * Math.sqrt(14 / 5), 4);
  });

  test('a CSV file says what is of one piece', () => {
    const folder = writeTable([0, 1]);
    const table = join(newFolder(), 'by.csv');
    writeFileSync(
      table,
      '\ufeffrecord,piece,observer\r\np1-o1.specimen.json,a,x\r\np2-o1,a,x\r\np1-o2,b,x\r\np2-o2,b,x\r\n',
    );
    const files = ['p1-o1', 'p2-o1', 'p1-o2', 'p2-o2'].map((name) => join(folder, `${name}.specimen.json`));
    const run = knapgauge(['repeat', ...files, '--by', table, '--measures', 'length']);
    expect(run.out).toContain('2 pieces with 4 readings.');
    // a: 9, 6; b: 2, 1 → √((9 + 1)/4).
    expect(run.out).toContain(String(Number(Math.sqrt(2.5).toPrecision(3))));
    expect(run.code).toBe(0);
  });

  test('bad input: a sentence each, and the rest is done', () => {
    const folder = writeTable([0, 1]);
    writeFileSync(join(folder, 'broken.specimen.json'), '{');
    const run = knapgauge(['repeat', folder, '--measures', 'length']);
    expect(run.code).toBe(3);
    expect(run.err).toMatch(/broken\.specimen\.json: This is not a record/);
    expect(run.out).toContain('6 pieces with 12 readings');
    const single = knapgauge(['repeat', join(folder, 'p1-o1.specimen.json')]);
    expect([single.code, single.err]).toEqual([2, expect.stringContaining('No piece was measured twice')]);
    const unknown = knapgauge(['repeat', folder, '--measures', 'lenght']);
    expect([unknown.code, unknown.err]).toEqual([2, 'knapgauge: --measures: no measure is named lenght.\n']);
    for (const by of ['{who}', '{observer}', 'nowhere.csv']) {
      const refused = knapgauge(['repeat', folder, '--by', by]);
      expect([by, refused.code]).toEqual([by, 2]);
      expect(refused.err).toMatch(/^knapgauge: --by: .*\.\n$/);
    }
  });
});
