import { readList } from '../../src/cli/drawerList.ts';
import { readTable } from '../../src/cli/repeatBy.ts';
import { toLean } from '../../src/drawer/lean.ts';
import { readForComparing } from '../../src/drawer/leanRead.ts';
import { MM_PER_UNIT } from '../../src/intake/types.ts';
import { readRecord } from '../../src/record/read.ts';
import { DEFAULT_SETTINGS, readSettings } from '../../src/record/settings.ts';
import { writeRecord } from '../../src/record/write.ts';
import { makeRecord } from '../record/fixture.ts';
import { drawerArchiveSubject } from './archives.ts';
import { findUnsound, type Subject } from './subject.ts';

const bytesOf = (words: string): Uint8Array => new TextEncoder().encode(words);
const textOf = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

function verifySound(value: unknown): void {
  const unsound = findUnsound(value);
  if (unsound !== undefined) throw new Error(`unsound: ${unsound}`);
}

/** A whole record with its long columns cut short, so that blows fall on all of it. */
function shortRecord(): string {
  const record = makeRecord();
  const cut = <T>(list: readonly T[]): readonly T[] => list.slice(0, 8);
  const table = <T extends Readonly<Record<string, readonly unknown[]>>>(columns: T): T =>
    Object.fromEntries(Object.entries(columns).map(([name, column]) => [name, cut(column)])) as unknown as T;
  return writeRecord({
    ...record,
    outline: { outer: record.outline.outer.filter((_, k) => k % 8 === 0), inner: [] },
    midline: cut(record.midline),
    margin: cut(record.margin),
    profile: table(record.profile as never) as never,
    series: Object.fromEntries(
      Object.entries(record.series).map(([name, columns]) => [name, table(columns)]),
    ),
  });
}

const RECORD = shortRecord();
const DEEP = `${'['.repeat(100_000)}${']'.repeat(100_000)}`;

function hostileRecords(): readonly (readonly [string, Uint8Array])[] {
  const put = (name: string, value: string): Uint8Array =>
    bytesOf(RECORD.replace(new RegExp(`"${name}": [^\n]*`), `"${name}": ${value},`));
  return [
    ['a version that is nested without end', put('version', DEEP)],
    ['a version of a million letters', put('version', `"${'9'.repeat(1_000_000)}"`)],
    [
      'a catalogue nested without end',
      bytesOf(RECORD.replace('"catalogue": {', `"catalogue": {"notes": ${DEEP},`)),
    ],
    [
      'a key of a million letters',
      bytesOf(RECORD.replace('"catalogue": {', `"catalogue": {"${'k'.repeat(1_000_000)}": 1,`)),
    ],
    [
      'a key that reaches a prototype',
      bytesOf(RECORD.replace('"catalogue": {', '"catalogue": {"__proto__": {"polluted": true},')),
    ],
    [
      'a million measures',
      bytesOf(RECORD.replace('"measurements": [', `"measurements": [${'{},'.repeat(200_000)}`)),
    ],
    [
      'an outline that is one point',
      bytesOf(
        RECORD.replace(
          /"outer": \[.*\]/,
          `"outer": ${JSON.stringify(Array.from({ length: 50 }, () => [1, 1]))}`,
        ),
      ),
    ],
    [
      'an outline beyond all lengths',
      bytesOf(RECORD.replace(/"outer": \[.*\]/, '"outer": [[0,0],[1e308,0],[1e308,1e308],[0,1e308]]')),
    ],
    ['nothing but brackets', bytesOf('['.repeat(1_500_000))],
  ];
}

const SETTINGS = JSON.stringify(
  { ...DEFAULT_SETTINGS, scan: { ...DEFAULT_SETTINGS.scan, unit: 'mm' } },
  null,
  1,
);

const LIST = [
  'file,unit,catalogue_number,collection,find_spot,raw_material,blank,cortex_a_percent,heat_alteration,condition,part,observer,notes,B,left,bar,dpi,mat,thickness,points,length',
  'a/one.ply,mm,1,North,"51.2, 4.4",flint,flake,10,none,complete,,AB,"says ""sharp""",,,,,,,,',
  'a/two.stl,in,2,North,,chert,cobble,,altered,snapped,tip,AB,,,,,,,,,',
  'a/three.jpg,,3,North,,chert,cobble,,altered,snapped,tip,AB,,b.jpg,c.jpg,5cm,,,8.5,,',
  'a/four.jpg,,4,North,,chert,cobble,,altered,snapped,tip,AB,,,,,yes,no,,"1,2,3,4",50mm',
  '',
].join('\r\n');

const TABLE = 'record,piece,observer\none.specimen.json,1,AB\ntwo,2,"C, D"\n';

export const TEXT_SUBJECTS: readonly Subject[] = [
  {
    name: 'record',
    good: [bytesOf(RECORD)],
    text: true,
    hostile: hostileRecords,
    async read(bytes) {
      const record = readRecord(textOf(bytes));
      verifySound(record);
      readRecord(writeRecord(record));
    },
  },
  {
    name: 'comparing',
    good: [bytesOf(RECORD)],
    text: true,
    hostile: hostileRecords,
    async read(bytes) {
      const lean = toLean(readForComparing(textOf(bytes)), 'key');
      verifySound({
        ring: [...lean.ring],
        size: lean.size,
        values: [...lean.values.values()].map(({ value }) => value),
      });
    },
  },
  {
    name: 'settings',
    good: [bytesOf(SETTINGS)],
    text: true,
    hostile: () => [
      ['nested without end', bytesOf(DEEP)],
      ['a value nested without end', bytesOf(`{"scan":{"holeLimit":${DEEP}}}`)],
      ['a value of a million letters', bytesOf(`{"scan":{"unit":"${'m'.repeat(1_000_000)}"}}`)],
      ['a key of a million letters', bytesOf(`{"${'k'.repeat(1_000_000)}":1}`)],
      ['a prototype', bytesOf('{"__proto__":{"polluted":true}}')],
      ['a prototype further in', bytesOf('{"scan":{"__proto__":{"polluted":true}}}')],
      ['a unit that every object has', bytesOf('{"scan":{"unit":"constructor"}}')],
    ],
    async read(bytes) {
      verifySound(readSettings(textOf(bytes)));
    },
  },
  {
    name: 'list',
    good: [bytesOf(LIST)],
    text: true,
    hostile: () => [
      ['a unit that every object has', bytesOf('file,unit\na.ply,constructor\n')],
      ['a column that every object has', bytesOf('file,constructor,__proto__\na.ply,1,2\n')],
      [
        '100 000 rows',
        bytesOf(`file\n${Array.from({ length: 100_000 }, (_, k) => `${k}.ply`).join('\n')}\n`),
      ],
      ['100 000 columns', bytesOf(`file,${'a,'.repeat(100_000)}\n${'x,'.repeat(100_000)}\n`)],
      ['a quote that does not end', bytesOf(`file\n"${'a\n'.repeat(500_000)}`)],
      ['a share that is no number', bytesOf('file,cortex_a_percent\na.ply,most\n')],
      ['a share beyond all', bytesOf('file,cortex_a_percent\na.ply,1e999\n')],
      ['a blank that is none', bytesOf('file,blank\na.ply,stone\n')],
      ['a column name that is code', bytesOf('file,"a\\"]; throw 1; //"\na.ply,1\n')],
    ],
    async read(bytes) {
      const found = readList(bytes, '/lists/list.csv');
      for (const { path, views = [], options, catalogue, fault } of found) {
        if (fault !== undefined) continue;
        const { unit } = options;
        if (![path, ...views.map((view) => view.path)].every((one) => one.startsWith('/')))
          throw new Error(`unsound: path ${path}`);
        if (unit !== undefined && !Object.hasOwn(MM_PER_UNIT, unit)) throw new Error(`unsound: unit ${unit}`);
        verifySound(catalogue);
        verifySound(options);
      }
    },
  },
  {
    name: 'by-table',
    good: [bytesOf(TABLE)],
    text: true,
    hostile: () => [['a quote that does not end', bytesOf(`record,piece\n"${'a\n'.repeat(500_000)}`)]],
    async read(bytes) {
      const name = readTable('by.csv', textOf(bytes));
      const { piece } = name(makeRecord(), 'one');
      if (typeof piece !== 'string') throw new Error('unsound: a piece without a name');
    },
  },
  drawerArchiveSubject,
];
