import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { csvParse } from 'd3-dsv';
import { describe, expect, test } from 'vitest';
import { type ComparedPiece, valuesOf } from '../../src/drawer/comparedPiece.ts';
import {
  compareHand,
  handAgreementCsv,
  handDifferencesCsv,
  handUnmatchedCsv,
} from '../../src/drawer/handCompare.ts';
import { readLabels } from '../../src/drawer/handLabels.ts';
import { type HandTable, HandTableError, readHandTable } from '../../src/drawer/handTable.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { writeRecord } from '../../src/record/write.ts';
import { filesIn, knapgauge, newFolder } from '../cli/run.ts';
import { makeRecord } from '../record/fixture.ts';

const base = makeRecord();

/** A record with that number and those lengths; without a number where it is undefined. */
function recordOf(number: string | undefined, values: Readonly<Record<string, number>>): SpecimenRecord {
  const measurements = base.measurements.map((m) => (m.id in values ? { ...m, value: values[m.id] } : m));
  return { ...base, catalogue: number === undefined ? {} : { number }, measurements };
}

function toPiece(name: string, record: SpecimenRecord): ComparedPiece {
  return { key: name, name, number: record.catalogue.number, values: valuesOf(record) };
}

const read = (text: string): HandTable => readHandTable(new TextEncoder().encode(text));
const utf16 = (text: string): Uint8Array =>
  new Uint8Array([0xff, 0xfe, ...new Uint8Array(Buffer.from(text, 'utf16le'))]);

describe('a table of hand measurements', () => {
  test('lengths in mm, cm and inches become mm; commas may stand for points where cells are parted otherwise', () => {
    const columns = (table: HandTable) => table.columns.map(({ measure: { id } }) => id);
    const plain = read(
      'catalogue_number,length_mm,Width_CM,thickness_in,colour\r\nA 1,101.5,4.2,0.5,red\r\n',
    );
    expect(columns(plain)).toEqual(['length', 'width', 'thickness']);
    expect(plain.rows).toEqual([{ row: 2, number: 'A 1', values: [101.5, 42, 12.7] }]);
    expect(plain.ignored).toEqual(['colour']);
    for (const bytes of [
      new TextEncoder().encode('\ufeffNumber;length\nÄ1;"101,5"\n'),
      new Uint8Array(Buffer.from('Number;length\r\nÄ1;101,5\r\n', 'latin1')),
      utf16('number\tlength\r\nÄ1\t101,5\r\n'),
    ]) {
      expect(readHandTable(bytes).rows).toEqual([{ row: 2, number: 'Ä1', values: [101.5] }]);
    }
  });

  test('what is no number is left out and named, never guessed', () => {
    const table = read('number,length\na,"12,5"\nb,1e999x\nc,0x10\nd, \ne,Infinity\nf,=1+1\ng,-.5\nh\n\n,\n');
    expect(table.rows.map(({ number, values }) => [number, values[0]])).toEqual([
      ...['a', 'b', 'c', 'd', 'e', 'f'].map((number) => [number, undefined]),
      ['g', -0.5],
      ['h', undefined],
    ]);
    expect(table.unreadable.length).toBe(5);
    expect(table.unreadable[0]).toBe('row 2, length: "12,5" is no number');
  });

  test.each([
    ['', 'no column "catalogue_number"'],
    ['length\n1\n', 'no column "catalogue_number"'],
    ['number,colour\n1,red\n', 'No column of the table is named as a measure'],
    ['number,length,length_cm\n1,2,3\n', 'Two columns of the table hold length'],
    ['\u0000\u0001number,length\n', 'This is no table'],
    ['__proto__,constructor,number\n1,2,3\n', 'No column of the table is named as a measure'],
  ])('%j is refused in one sentence', (text, sentence) => {
    expect(() => read(text)).toThrow(HandTableError);
    expect(() => read(text)).toThrow(sentence);
  });
});

test('columns that name no measure tell groups, whatever way numbers are written', () => {
  const bytes = new TextEncoder().encode(
    'catalogue_number,length_mm,period,level\nQT 1,1,early,1\nqt1,2,late,2\nQT 2,3,late,\n,4,early,1\n',
  );
  const labels = readLabels(bytes);
  expect(labels.map(({ name }) => name)).toEqual(['period', 'level']);
  expect([...labels[0].of]).toEqual([
    ['qt1', 'early'],
    ['qt2', 'late'],
  ]);
  expect([...labels[1].of]).toEqual([['qt1', '1']]);
  const many = Array.from({ length: 60 }, (_, k) => `P ${k},note ${k}`).join('\n');
  expect(readLabels(new TextEncoder().encode(`number,notes\n${many}\n`))).toEqual([]);
  expect(() => readLabels(new TextEncoder().encode('a,b\n'))).toThrow(HandTableError);
});

describe('hand measurements beside computed ones', () => {
  const files: Readonly<Record<string, SpecimenRecord>> = {
    one: recordOf('QT 41-1', { length: 100, width: 40 }),
    two: recordOf('QT 41-2', { length: 80, width: 30 }),
    three: recordOf(undefined, { length: 60, width: 25 }),
    four: recordOf('QT 41-4', { length: 90, width: 35 }),
    twin: recordOf('X', { length: 50, width: 20 }),
    'twin-2': recordOf('x', { length: 51, width: 21 }),
    alone: recordOf('=cmd', { length: 50, width: 20 }),
  };
  const records = Object.entries(files).map(([name, record]) => toPiece(name, record));
  const table = read(
    'catalogue_number,length_mm,width_mm\nqt41-1,101,40\nQT 41-2,83,\nthree,62,25\nQT 41-4,3.55,35\nX,50,20\n"@nowhere",1,1\n,5,5\n',
  );
  const comparison = compareHand(table, records);

  test('bias and limits are those of the differences by hand (Bland & Altman 1986)', () => {
    // Differences 1, 3, 2: mean 2, standard deviation 1; limits 2 ± 1.96.
    const [length, width] = comparison.measures;
    expect([length.limits.n, length.limits.bias, length.limits.sd]).toEqual([3, 2, 1]);
    expect(length.limits.upper).toBeCloseTo(3.959964, 6);
    expect(length.limits.lower).toBeCloseTo(0.040036, 6);
    expect([width.limits.n, width.limits.bias]).toEqual([3, 0]);
    expect(comparison.pieces).toBe(4);
  });

  test('a reading in inches is named and kept out of the limits', () => {
    const [length] = comparison.measures;
    expect(
      length.pairs.filter(({ slip }) => slip !== null).map(({ number, slip }) => [number, slip]),
    ).toEqual([['QT 41-4', 'inches and millimetres']]);
    expect(length.slip).toBe(null);
    const all = compareHand(read('number,length\nQT 41-1,10.1\nQT 41-2,8\n'), records);
    expect(all.measures[0].slip).toBe('centimetres and millimetres');
    // 2.5 times is no unit.
    expect(compareHand(read('number,length\nQT 41-1,40\n'), records).measures[0].slip).toBe(null);
  });

  test('what stands alone, or twice, is named on both sides', () => {
    expect(comparison.unmatched.map(({ side, where, why }) => `${side} ${where}: ${why}`)).toEqual([
      'hand row 6: the catalogue number stands on the other side more than once',
      'hand row 7: no record has this catalogue number',
      'hand row 8: it has no catalogue number',
      'record twin: the catalogue number stands here more than once',
      'record twin-2: the catalogue number stands here more than once',
      'record alone: no row of the table has this catalogue number',
    ]);
  });

  test('the tables written of it read back, and hold no formula', () => {
    const agreementRow = csvParse(handAgreementCsv(comparison))[0];
    expect([agreementRow.id, agreementRow.pieces, agreementRow.left_out]).toEqual(['length', '3', '1']);
    expect(Number(agreementRow.upper)).toBeCloseTo(3.95996, 5);
    const differences = csvParse(handDifferencesCsv(comparison));
    expect(differences.map(({ measure, difference }) => `${measure} ${difference}`)).toContain('length 3');
    const unmatched = csvParse(handUnmatchedCsv(comparison)).map(({ catalogue_number }) => catalogue_number);
    expect(unmatched).toContain("'=cmd");
    expect(unmatched).toContain("'@nowhere");
  });

  test('knapgauge compare says and writes it', () => {
    const [folder, out] = [newFolder(), newFolder()];
    for (const [name, record] of Object.entries(files))
      writeFileSync(join(folder, `${name}.specimen.json`), writeRecord(record));
    const hand = join(folder, 'hand.csv');
    writeFileSync(
      hand,
      'catalogue_number,length_mm\nQT 41-1,101\nQT 41-2,\u001b[31m\n"no\u001b[2Jwhere",3\n',
    );
    const run = knapgauge(['compare', hand, folder, '--out', out]);
    expect([run.code, run.err]).toEqual([0, '']);
    expect(run.out).toContain('2 of 3 rows matched');
    expect(run.out).toContain('row 3, length_mm');
    expect(run.out).not.toContain('\u001b');
    expect([...filesIn(out).keys()]).toEqual([
      'compare-differences.csv',
      'compare-unmatched.csv',
      'compare.csv',
    ]);
    writeFileSync(hand, 'catalogue_number,length_mm\nnobody,1\n');
    const none = knapgauge(['compare', hand, folder]);
    expect([none.code, none.err]).toEqual([
      2,
      expect.stringContaining('No row of the table could be matched'),
    ]);
  });
});
