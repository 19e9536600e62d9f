import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { catalogueRows } from '../../src/measures/catalogue.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { readRecord } from '../../src/record/read.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { OUTPUT_KINDS } from '../../workers/outputKinds.ts';
import { outputsOf } from '../../workers/outputs.ts';
import { filesIn, knapgauge, newFolder, type Run, smallScan } from './run.ts';

const scans = newFolder();
const point = join(scans, 'point.ply');
const ovate = join(scans, 'ovate.ply');

/** Both measured as they are, one after the other: what several tests look at. */
const plain = join(newFolder(), 'made', 'on', 'the', 'way');
let plainRun: Run;

beforeAll(() => {
  writeFileSync(point, smallScan('side-notched'));
  writeFileSync(ovate, smallScan('ovate'));
  // The first start may have to build.
  expect(knapgauge(['--version']).code).toBe(0);
  plainRun = knapgauge(['measure', point, ovate, '--out', plain, '--jobs', '1']);
});

const recordIn = (folder: string, name: string): SpecimenRecord =>
  readRecord(readFileSync(join(folder, `${name}.specimen.json`), 'utf8'));

const measuredIn = (record: SpecimenRecord, id: string) =>
  record.measurements.find((measured) => measured.id === id)?.value;

describe('measure', () => {
  test('writes record, tables and sheet for each scan, prints a short table, and ends with 0', () => {
    const { code, out: printed, err } = plainRun;
    expect(err).toBe('');
    expect(code).toBe(0);
    const names = [...filesIn(plain).keys()];
    const series = Object.keys(recordIn(plain, 'point').series);
    const endings = ['specimen.json', 'measures.csv', 'sheet.svg', ...series.map((name) => `${name}.csv`)];
    expect(names).toEqual(
      ['ovate', 'point'].flatMap((name) => endings.map((ending) => `${name}.${ending}`)).toSorted(),
    );
    const [heading, first, second] = printed.split('\n');
    expect(heading).toMatch(/^piece .* length mm .* warnings$/);
    expect([first, second].map((line) => line.split(' ')[0])).toEqual(['point', 'ovate']);
    expect(printed).toContain('point: units-guessed:');
    expect(printed).toContain('A unit is confirmed or corrected with --unit');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: no terminal, no control characters
    expect(printed).not.toMatch(/[\r\u001b]/);
  });

  test('has a row for every measure of the catalogue', () => {
    const rows = readFileSync(join(plain, 'point.measures.csv'), 'utf8').trimEnd().split('\r\n');
    expect(rows.length).toBe(1 + catalogueRows().length);
    expect(recordIn(plain, 'point').measurements.map(({ id }) => id)).toEqual(
      catalogueRows().map(({ id }) => id),
    );
  });

  test('writes the same bytes twice, over one thread or two, in any order, and as in this process', async () => {
    const again = newFolder();
    expect(knapgauge(['measure', ovate, point, '--out', again, '--jobs', '2']).code).toBe(0);
    expect(filesIn(again)).toEqual(filesIn(plain));
    const measured = await measureScan(readFileSync(point), point, DEFAULT_SETTINGS);
    const built = recordIn(plain, 'point').engine.commit;
    for (const { ending, content } of outputsOf(measured, OUTPUT_KINDS)) {
      const here = String(content).replaceAll(measured.record.engine.commit, built);
      expect(filesIn(plain).get(`point${ending}`)?.toString()).toBe(here);
    }
  });

  test('--quiet prints nothing; --only writes one kind', () => {
    const out = newFolder();
    const run = knapgauge(['measure', point, '-o', out, '-q', '--only', 'csv']);
    expect(run).toEqual({ code: 0, out: '', err: '' });
    const tables = [...filesIn(plain)].filter(([name]) => /^point\.[\w.]+\.csv$/.test(name));
    expect([...filesIn(out)]).toEqual(tables);
  });

  test('a settings file is used, what is typed lies over it, and both reach the numbers and the record', () => {
    const asked = newFolder();
    const settings = join(newFolder(), 'settings.json');
    writeFileSync(settings, JSON.stringify({ scan: { unit: 'm' }, measure: { turnBand: 0.2 } }));
    const options =
      '--unit cm --axis longest --flip-face --flip-tip --density 2.6 --mass 21.5 --stations 25,75';
    const run = knapgauge([
      'measure',
      point,
      '-o',
      asked,
      '-q',
      '--settings',
      settings,
      ...options.split(' '),
    ]);
    expect(run.err).toBe('');
    const [before, after] = [recordIn(plain, 'point'), recordIn(asked, 'point')];
    expect(after.frame.length / before.frame.length).toBeCloseTo(10, 0);
    expect(after.source.scale).toEqual({ method: 'given', mmPerUnit: 10, u: 0 });
    expect(after.frame).toMatchObject({ axis: 'longest', faceA: 'flipped', tip: 'flipped' });
    expect(after.settings.measure).toMatchObject({
      density: 2.6,
      mass: 21.5,
      sectionStations: [25, 75],
      turnBand: 0.2,
    });
    expect(after.sections.filter(({ at }) => at === 'station').map(({ station }) => station)).toEqual([
      25, 75,
    ]);
    const guessed = ({ warnings }: SpecimenRecord): boolean =>
      warnings.some(({ code }) => code === 'units-guessed');
    expect([before, after].map(guessed)).toEqual([true, false]);
    expect(measuredIn(before, 'length')).toBeCloseTo(before.frame.length, 3);
  });

  test('a placed tip and base give the axis', () => {
    const out = newFolder();
    const free = recordIn(plain, 'point');
    const place = (y: number) => toFile(free.frame.matrix, [0, y, 0]).join(',');
    const tip = `--tip=${place(free.frame.length)}`;
    const run = knapgauge([
      'measure',
      point,
      '-o',
      out,
      '-q',
      '--axis',
      'tip-base',
      `--base=${place(0)}`,
      tip,
    ]);
    expect(run).toEqual({ code: 0, out: '', err: '' });
    const placed = recordIn(out, 'point').frame;
    expect(placed).toMatchObject({ axis: 'tip-base', tip: 'placed' });
    expect(placed.length).toBeCloseTo(free.frame.length, 1);
    expect(Math.abs(placed.axes.mirror.angle)).toBeLessThan(0.1);
  });
});

describe('a file that can’t be measured', () => {
  const good = new Uint8Array();
  const cases: [string, Uint8Array][] = [
    ['empty.ply', good],
    ['cut.ply', smallScan('ovate').slice(0, 20_000)],
    ['picture.ply', Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0, 0, 13])],
    ['words.stl', new TextEncoder().encode('solid nothing\nendsolid nothing\n')],
    ['noise.obj', Uint8Array.from({ length: 4000 }, (_, i) => (i * i * 31) % 251)],
  ];

  test('is told in one sentence on stderr, ends with 3, leaves nothing, and stops none of the others', () => {
    const out = newFolder();
    const bad = cases.map(([name, bytes]) => {
      writeFileSync(join(scans, name), bytes);
      return join(scans, name);
    });
    const paths = [bad[0], point, ...bad.slice(1), join(scans, 'nowhere.ply'), scans, ovate];
    const { code, out: printed, err } = knapgauge(['measure', ...paths, '-o', out]);
    expect(code).toBe(3);
    const lines = err.trimEnd().split('\n');
    expect(lines.length).toBe(paths.length - 2);
    for (const path of [...bad, join(scans, 'nowhere.ply'), scans]) {
      const line = lines.find((text) => text.startsWith(`knapgauge: ${path}: `));
      expect(line, path).toMatch(/\.$/);
      expect(line).not.toContain('fault in the program');
    }
    expect(printed.split('\n').map((line) => line.split(' ')[0])).toEqual(
      expect.arrayContaining(['point', 'ovate']),
    );
    for (const name of filesIn(out).keys()) expect(name).toMatch(/^(point|ovate)\./);
  });

  test('is one of the outputs of another: it is not written over', () => {
    const folder = newFolder();
    writeFileSync(join(folder, 'x.ply'), smallScan('ovate'));
    writeFileSync(join(folder, 'x.sheet.svg'), smallScan('side-notched'));
    const { code, err } = knapgauge([
      'measure',
      join(folder, 'x.ply'),
      join(folder, 'x.sheet.svg'),
      '-o',
      folder,
      '-q',
    ]);
    expect(code).toBe(3);
    expect(err).toContain('x.sheet.svg is one of the inputs');
    expect(new Uint8Array(readFileSync(join(folder, 'x.sheet.svg')))).toEqual(smallScan('side-notched'));
    const linked = newFolder();
    symlinkSync(folder, join(linked, 'same'));
    const again = knapgauge([
      'measure',
      join(folder, 'x.sheet.svg'),
      join(folder, 'x.ply'),
      '-o',
      join(linked, 'same'),
      '-q',
    ]);
    expect(again.code).toBe(3);
    expect(new Uint8Array(readFileSync(join(folder, 'x.sheet.svg')))).toEqual(smallScan('side-notched'));
  });
});

describe('names', () => {
  test('that are alike get numbers', () => {
    const [root, out] = [newFolder(), newFolder()];
    const paths = ['a', 'b', 'c'].map((part) => {
      mkdirSync(join(root, part));
      const path = join(root, part, part === 'c' ? 'POINT.ply' : 'point.ply');
      writeFileSync(path, smallScan('ovate'));
      return path;
    });
    expect(knapgauge(['measure', ...paths, '-o', out, '-q', '--only', 'json']).code).toBe(0);
    expect([...filesIn(out).keys()]).toEqual([
      'POINT-3.specimen.json',
      'point-2.specimen.json',
      'point.specimen.json',
    ]);
  });

  test('that are hostile stay text, inside the folder', () => {
    const [root, out] = [newFolder(), newFolder()];
    const hostile = [
      '=cmd|calc.ply',
      '<script>.ply',
      '"; drop table.ply',
      'two\nlines\u001b[31m.ply',
      '...ply',
      '-rf.ply',
      '石器 nº 3.ply',
    ];
    for (const name of hostile) writeFileSync(join(root, name), smallScan('ovate'));
    const { code, out: printed, err } = knapgauge(['measure', '-o', out, '--', ...hostile], root);
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(printed).not.toContain('\u001b');
    const records = [...filesIn(out)].filter(([name]) => name.endsWith('.specimen.json'));
    expect(records.map(([, bytes]) => readRecord(bytes.toString()).source.file).toSorted()).toEqual(
      hostile.toSorted(),
    );
    expect(records.map(([name]) => name)).toContain('石器 nº 3.specimen.json');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: none of them may be in a file name
    for (const name of filesIn(out).keys()) expect(name).not.toMatch(/[<>:"/\\|?*\u0000-\u001f]|^\./);
    expect(filesIn(root).size).toBe(hostile.length);
  });
});

describe('a command that is not understood ends with 2 and writes nothing', () => {
  const settingsFile = (text: string): string => {
    const path = join(newFolder(), 'settings.json');
    writeFileSync(path, text);
    return path;
  };

  test.each([
    [[], 'Usage'],
    [['measure', point], '--out'],
    [['measure', '--out', 'x'], 'file'],
    [['mesure', point], 'mesure'],
    [['measure', point, '--out', 'OUT', '--sparkle'], '--sparkle'],
    [['measure', point, '--out', 'OUT', '--unit', 'mile'], 'mile'],
    [['measure', point, '--out', 'OUT', '--density', 'heavy'], 'number'],
    [['measure', point, '--out', 'OUT', '--density', '-1'], 'measure.density'],
    [['measure', point, '--out', 'OUT', '--stations', '10,,20'], 'number'],
    [['measure', point, '--out', 'OUT', '--stations', '10,110'], 'sectionStations'],
    [['measure', point, '--out', 'OUT', '--axis', 'tip-base'], 'base and tip'],
    [['measure', point, '--out', 'OUT', '--jobs', '0'], 'whole number'],
    [
      ['measure', point, '--out', 'OUT', '--settings', settingsFile('{"measure": {"mapCel": 1}}')],
      '"mapCel"',
    ],
    [['measure', point, '--out', 'OUT', '--settings', settingsFile('{')], 'not JSON'],
    [['measure', point, '--out', 'OUT', '--settings', '/nowhere.json'], '/nowhere.json'],
  ])('%j', (args, words) => {
    const out = newFolder();
    const { code, err } = knapgauge(
      args.map((arg) => (arg === 'OUT' ? out : arg)),
      newFolder(),
    );
    expect(code).toBe(2);
    expect(err).toContain(words);
    expect(filesIn(out).size).toBe(0);
  });

  test('help and version end with 0', () => {
    expect(knapgauge(['--help']).code).toBe(0);
    const help = knapgauge(['measure', '--help']);
    expect(help.code).toBe(0);
    for (const option of [
      '--unit',
      '--axis',
      '--flip-face',
      '--flip-tip',
      '--density',
      '--mass',
      '--stations',
      '--settings',
      '--only',
      '--jobs',
      '--quiet',
    ]) {
      expect(help.out).toContain(option);
    }
  });
});

/** Frame coordinates back to the file's, through the inverse of a rigid matrix (column-major). */
function toFile(m: readonly number[], [x, y, z]: readonly number[]): number[] {
  const [dx, dy, dz] = [x - m[12], y - m[13], z - m[14]];
  return [0, 4, 8].map((c) => m[c] * dx + m[c + 1] * dy + m[c + 2] * dz);
}
