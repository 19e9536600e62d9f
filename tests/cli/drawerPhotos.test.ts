import { cpSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { csvParse } from 'd3-dsv';
import { beforeAll, describe, expect, test } from 'vitest';
import { listPieces } from '../../src/cli/drawerPieces.ts';
import { SERIES } from '../../src/drawer/seriesTables.ts';
import { texturesInGltf, texturesInMaterial, texturesInPly } from '../../src/intake/textures.ts';
import { readRecord } from '../../src/record/read.ts';
import type { PhotoSource, SpecimenRecord } from '../../src/record/schema.ts';
import { bytesUnder, filesIn, killedAfter, knapgauge, newFolder, smallScan } from './run.ts';

const SAMPLES = new URL('../../sample-scans/', import.meta.url).pathname;
const PICTURES = [
  'qt-41-3-photo-A.jpg',
  'qt-41-3-photo-B.jpg',
  'qt-41-3-photo-left.jpg',
  'qt-41-15-photo.jpg',
  'unusable-photo.jpg',
];
const OPTIONS = ['--unit', 'mm', '--bar', '50mm'];

/** Scans and photographs of four pieces, one of them unusable; and what is none. */
let folder: string;
let whole: string;
let said: string;

/** The same pictures and scan, for lists that name them. */
let listed: string;

const rowsOf = (out: string, table: string) => csvParse(readFileSync(join(out, table), 'utf8'));
const recordOf = (out: string, name: string): SpecimenRecord =>
  readRecord(readFileSync(join(out, 'pieces', `${name}.specimen.json`), 'utf8'));
const drawer = (what: string, out: string, ...options: string[]) =>
  knapgauge(['drawer', what, '--out', out, ...options]);

beforeAll(() => {
  folder = newFolder();
  for (const name of PICTURES) cpSync(join(SAMPLES, name), join(folder, name));
  writeFileSync(join(folder, 'ovate.ply'), smallScan('ovate'));
  mkdirSync(join(folder, 'shelf'));
  writeFileSync(join(folder, 'notes.txt'), 'a note');
  writeFileSync(join(folder, 'shelf/model.mtl'), 'newmtl stone\r\nmap_Kd -bm 1 Skin of it.jpg\r\n');
  cpSync(join(SAMPLES, 'unusable-photo.jpg'), join(folder, 'shelf/skin of it.jpg'));
  listed = newFolder();
  for (const name of [...PICTURES, 'ovate.ply']) cpSync(join(folder, name), join(listed, name));
  cpSync(join(SAMPLES, 'qt-41-4-photo.jpg'), join(listed, 'qt-41-4-photo.jpg'));
  whole = newFolder();
  const run = drawer(folder, whole, ...OPTIONS, '--jobs', '1');
  expect(run.code).toBe(3);
  said = run.out;
});

describe('knapgauge drawer measures photographs among scans', () => {
  test('those of one piece together; what is none of either is named, an unusable one is a row of failures.csv', () => {
    expect(rowsOf(whole, 'specimens.csv').map(({ name }) => name)).toEqual([
      'ovate',
      'qt-41-15-photo',
      'qt-41-3-photo-A',
    ]);
    expect([...rowsOf(whole, 'failures.csv')]).toMatchObject([
      { file: 'unusable-photo.jpg', code: 'scale-missing' },
    ]);
    expect(said).toContain(
      '2 files passed over, neither a scan nor a photograph: notes.txt, shelf/model.mtl.',
    );
    expect(said).toContain('1 picture passed over, named by a scan as its texture: shelf/skin of it.jpg.');
    expect(said).toContain('3 measured (0 of them before), 1 failed');
    const run = JSON.parse(readFileSync(join(whole, 'run.json'), 'utf8'));
    expect(run.files).toContainEqual({
      file: 'qt-41-3-photo-A.jpg',
      name: 'qt-41-3-photo-A',
      views: { B: 'qt-41-3-photo-B.jpg', left: 'qt-41-3-photo-left.jpg' },
    });
    expect(run.passedOver).toEqual(['notes.txt', 'shelf/model.mtl']);
    const page = readFileSync(join(whole, 'index.html'), 'utf8');
    expect(page).toContain(
      '3 photographs of one piece:<br>A qt-41-3-photo-A.jpg<br>B qt-41-3-photo-B.jpg<br>left',
    );
    expect(page).toContain('1 piece was not measured');
    expect(page).toContain('2 files passed over');
    const row = rowsOf(whole, 'specimens.csv')[2];
    expect([row.source_file, row.further_files]).toEqual([
      'qt-41-3-photo-A.jpg',
      'B=qt-41-3-photo-B.jpg left=qt-41-3-photo-left.jpg',
    ]);
  });

  test('to the very record that measure gives', () => {
    const out = newFolder();
    const at = (name: string): string => join(folder, name);
    const views = `A=${at('qt-41-3-photo-A.jpg')},B=${at('qt-41-3-photo-B.jpg')},left=${at('qt-41-3-photo-left.jpg')}`;
    const files = ['qt-41-15-photo.jpg', 'ovate.ply'].map(at);
    const run = knapgauge(['measure', ...files, '--photo', views, ...OPTIONS, '--out', out]);
    expect(run.code).toBe(0);
    for (const name of ['qt-41-3-photo-A', 'qt-41-15-photo', 'ovate']) {
      for (const ending of ['.specimen.json', '.sheet.svg']) {
        expect(readFileSync(join(whole, 'pieces', name + ending), 'utf8')).toBe(
          readFileSync(join(out, name + ending), 'utf8'),
        );
      }
    }
  });

  test('with tables that hold the series of scans whatever comes first, and no others', () => {
    const names = (id: string): string[] => [
      ...new Set(rowsOf(whole, `series-${id}.csv`).map(({ name }) => name)),
    ];
    expect(names('halfWidths')).toEqual(['ovate', 'qt-41-15-photo', 'qt-41-3-photo-A']);
    expect(names('thickness')).toEqual(['ovate', 'qt-41-3-photo-A']);
    expect(names('edgeAngle')).toEqual(['ovate']);
    const columns = Object.fromEntries(
      Object.entries(SERIES).map(([id, series]) => [id, series.columns.map(({ name }) => name)]),
    );
    const inRecord = (name: string) =>
      Object.fromEntries(
        Object.entries(recordOf(whole, name).series).map(([id, table]) => [id, Object.keys(table)]),
      );
    expect(inRecord('ovate')).toEqual(columns);
    expect(columns).toMatchObject(inRecord('qt-41-3-photo-A'));
    // Of photographs alone, too: the same tables, some without a row.
    const list = join(listed, 'list.csv');
    writeFileSync(list, 'file,bar\nqt-41-15-photo.jpg,50mm\n');
    const out = newFolder();
    expect(drawer(list, out).code).toBe(0);
    expect(readdirSync(out)).toEqual(readdirSync(whole));
    expect(rowsOf(out, 'series-edgeAngle.csv').columns).toEqual(['name', ...columns.edgeAngle]);
  });

  test('whose records check finds each of their photographs by', () => {
    const record = join(whole, 'pieces', 'qt-41-3-photo-A.specimen.json');
    const here = knapgauge(['check', record, '--scans', folder]);
    expect([here.code, here.out.match(/its photograph \S+ is unchanged/g)?.length]).toEqual([0, 3]);
    const other = newFolder();
    cpSync(join(folder, 'qt-41-3-photo-A.jpg'), join(other, 'qt-41-3-photo-A.jpg'));
    expect(knapgauge(['check', record, '--scans', other]).out).toContain('photo-B.jpg is not in');
    cpSync(join(folder, 'qt-41-3-photo-A.jpg'), join(other, 'qt-41-3-photo-B.jpg'));
    expect(knapgauge(['check', record, '--scans', other])).toMatchObject({
      code: 3,
      err: expect.stringContaining('qt-41-3-photo-B.jpg is not the photograph that was measured'),
    });
  });

  test('two at once, or in parts and merged: the same bytes', () => {
    const two = newFolder();
    expect(drawer(folder, two, ...OPTIONS, '--jobs', '2').code).toBe(3);
    expect(bytesUnder(two)).toEqual(bytesUnder(whole));
    const parts = [1, 2].map((k) => {
      const part = newFolder();
      drawer(folder, part, ...OPTIONS, '--shard', `${k}/2`);
      return part;
    });
    const merged = newFolder();
    expect(knapgauge(['merge', ...parts, '--out', merged]).code).toBe(3);
    expect(bytesUnder(merged)).toEqual(bytesUnder(whole));
  });

  test('killed at any moment, it goes on where it was; a view that changed is measured again, and nothing else', async () => {
    const out = newFolder();
    const args = ['drawer', folder, '--out', out, ...OPTIONS, '--jobs', '1'];
    for (const wait of [1500, 3000]) await killedAfter(wait, args);
    expect(knapgauge(args).out).toContain('3 measured');
    expect(bytesUnder(out)).toEqual(bytesUnder(whole));
    const record = join(out, 'pieces', 'qt-41-3-photo-A.specimen.json');
    const before = statSync(record).mtimeMs;
    expect(knapgauge(args).out).toContain('(3 of them before)');
    expect(statSync(record).mtimeMs).toBe(before);
    const other = newFolder();
    cpSync(folder, other, { recursive: true });
    cpSync(join(SAMPLES, 'qt-41-3-photo-A.jpg'), join(other, 'qt-41-3-photo-B.jpg'));
    expect(drawer(other, out, ...OPTIONS).out).toContain('3 measured (2 of them before)');
    expect(recordOf(out, 'qt-41-3-photo-A').source).toMatchObject({
      views: [{ view: 'B', sha256: recordOf(out, 'qt-41-3-photo-A').source.sha256 }, { view: 'left' }],
    });
    // So is all that another scale is told for, and the scan is not.
    expect(drawer(other, out, '--unit', 'mm', '--block', '10mm').out).toContain(
      '3 measured (1 of them before)',
    );
  });

  test('a list gives each its views and scale, over the options; a row without a usable scale fails alone', () => {
    const list = join(listed, 'mixed.csv');
    const rows = [
      'file;B;left;catalogue_number;unit;bar;mat;printed_bar;thickness;ppmm;dpi;points;length;piece',
      'qt-41-3-photo-A.jpg;qt-41-3-photo-B.jpg;qt-41-3-photo-left.jpg;QT 41/3;;50;;;;;;;;',
      'qt-41-4-photo.jpg;;;QT 41/4;;;yes;100;6,5;;;;;',
      'qt-41-15-photo.jpg;;;QT 41/15;;;;;;8,5;;;;',
      'ovate.ply;;;QT 1;cm;;;;;;;;;',
      'unusable-photo.jpg;;;QT 2;;;;;;;yes;;;',
      'qt-41-3-photo-left.jpg;;;QT 5;;50;yes;;;;;;;',
      'qt-41-3-photo-B.jpg;;;QT 6;;fifty;;;;;;;;',
      'qt-41-15-photo.jpg;;;QT 7;;;;;;;;;105,9;2',
      'none.jpg;;;QT 8;;;;;;;;;;',
    ];
    writeFileSync(list, `${rows.join('\r\n')}\r\n`);
    const out = newFolder();
    const run = drawer(list, out, '--block', '12.7mm', '--printed-bar', '99');
    expect(run.code).toBe(3);
    expect(rowsOf(out, 'failures.csv').map(({ file, message }) => [file, message])).toEqual([
      ['none.jpg', 'There is no such file.'],
      [
        'qt-41-15-photo-piece2.jpg',
        expect.stringContaining('Row 9 of the list: length is that between two points'),
      ],
      ['qt-41-3-photo-B.jpg', 'Row 8 of the list: bar is "fifty". It must be a length such as 50mm.'],
      ['qt-41-3-photo-left.jpg', expect.stringContaining('One way to the scale of photographs at a time')],
      ['unusable-photo.jpg', expect.stringContaining('resolution')],
    ]);
    const source = (name: string): PhotoSource => recordOf(out, name).source as PhotoSource;
    expect(source('qt-41-3-photo-A').views.map(({ view }) => view)).toEqual(['B', 'left']);
    expect(recordOf(out, 'qt-41-3-photo-A').settings.photo).toEqual({
      method: 'bar',
      length: 50,
      printedBar: 99,
      printedBarUncertainty: 0.1,
      piece: 1,
    });
    expect(recordOf(out, 'qt-41-4-photo').settings.photo).toMatchObject({ printedBar: 100, thickness: 6.5 });
    expect(source('qt-41-4-photo').scale.method).toBe('mat');
    expect([source('qt-41-15-photo').scale.method, source('qt-41-15-photo').scale.pxPerMm]).toEqual([
      'typed',
      8.5,
    ]);
    expect(recordOf(out, 'ovate').source).toMatchObject({ unit: 'cm', scale: { method: 'given' } });
    // As the options and the row together would be typed.
    const typed = newFolder();
    const asked = ['--mat', '--printed-bar', '100', '--thickness', '6.5', '--only', 'json', '-q'];
    expect(knapgauge(['measure', join(listed, 'qt-41-4-photo.jpg'), ...asked, '--out', typed]).code).toBe(0);
    const [[, bytes]] = filesIn(typed);
    const plain = JSON.parse(String(bytes));
    expect({ ...recordOf(out, 'qt-41-4-photo'), catalogue: {} }).toEqual(plain);
  });
});

describe('a list with a scale for one view alone', () => {
  test('gives that view its own, and the others that of Face A', () => {
    const list = join(listed, 'views.csv');
    const rows = [
      'file;B;left;ppmm;left_bar;B_dpi',
      'qt-41-3-photo-A.jpg;qt-41-3-photo-B.jpg;qt-41-3-photo-left.jpg;8,5;50mm;',
      'qt-41-15-photo.jpg;;;;50mm;',
    ];
    writeFileSync(list, `${rows.join('\r\n')}\r\n`);
    const out = newFolder();
    const run = drawer(list, out, '--bar', '50mm');
    expect([run.code, run.out]).toEqual([
      3,
      expect.stringContaining('1 measured (0 of them before), 1 failed'),
    ]);
    expect(rowsOf(out, 'failures.csv')[0].message).toContain(
      'something is told of the view left, and no photograph',
    );
    const { source, settings } = recordOf(out, 'qt-41-3-photo-A');
    expect((source as PhotoSource).views.map(({ view, method }) => [view, method])).toEqual([
      ['B', 'typed'],
      ['left', 'bar'],
    ]);
    expect(settings.photo).toMatchObject({
      method: 'typed',
      pxPerMm: 8.5,
      views: [{ view: 'left', method: 'bar', length: 50 }],
    });
    expect(drawer(list, out, '--bar', '50mm').out).toContain('1 measured (1 of them before), 1 failed');
  });
});

describe('what a folder holds', () => {
  test('each photograph by itself with --no-views; else one that shows an edge alone is refused with the way out', async () => {
    const where = newFolder();
    for (const name of ['p-A.jpg', 'p-B.jpg', 'q-left.png', 'stone.webp', 's.heic'])
      writeFileSync(join(where, name), '');
    const out = join(where, 'out');
    mkdirSync(out);
    writeFileSync(join(out, 'p.png'), '');
    writeFileSync(join(where, '.hidden.jpg'), '');
    const list = async (views: boolean) => (await listPieces(where, { leaveOut: out, views })).pieces;
    expect((await list(false)).map(({ listed, name }) => [listed, name])).toEqual([
      ['p-A.jpg', 'p-A'],
      ['p-B.jpg', 'p-B'],
      ['q-left.png', 'q-left'],
      ['stone.webp', 'stone'],
    ]);
    const together = await list(true);
    expect(together.map(({ listed, views = [] }) => [listed, ...views.map(({ listed }) => listed)])).toEqual([
      ['p-A.jpg', 'p-B.jpg'],
      ['q-left.png'],
      ['stone.webp'],
    ]);
    expect(together.map(({ fault }) => fault)).toEqual([
      undefined,
      expect.stringMatching(/^By its name q-left\.png shows the left edge, .*--no-views\.$/),
      undefined,
    ]);
    expect((await listPieces(where, { leaveOut: out, views: true })).passedOver).toEqual(['s.heic']);
    const telephone = newFolder();
    for (const name of ['1.HEIC', '2.heic', 'notes.txt']) writeFileSync(join(telephone, name), '');
    await expect(listPieces(telephone, { leaveOut: out, views: true })).rejects.toThrow(
      'in it. 2 pictures passed over, of a kind that is not read (save it as JPEG, PNG or TIFF): 1.HEIC, 2.heic. 1 file passed over, neither a scan nor a photograph: notes.txt.',
    );
  });

  test('pictures that scans name as textures, by MTL, PLY and glTF', () => {
    expect(
      texturesInMaterial('newmtl a\nKd 1 1 1\n  map_Kd my skin.jpg \nmap_bump -bm 0.5 b.png\nbump c.png\n'),
    ).toEqual(expect.arrayContaining(['my skin.jpg', 'b.png', 'c.png']));
    expect(
      texturesInPly('ply\ncomment TextureFile skin.png\r\nend_header\ncomment TextureFile no.png'),
    ).toEqual(['skin.png']);
    expect(
      texturesInGltf('{"images":[{"uri":"a%20b.png"},{"uri":"data:image/png;base64,x"},{},null]}'),
    ).toEqual(['a b.png']);
    expect(['{"images":[{"uri":"%E0%A4%A.png"}]}', '{', '[]', 'null'].flatMap(texturesInGltf)).toEqual([]);
  });
});
