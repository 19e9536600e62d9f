import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { readRecord } from '../../src/record/read.ts';
import type { PhotoSource, SpecimenRecord } from '../../src/record/schema.ts';
import { writeRecord } from '../../src/record/write.ts';
import { filesIn, knapgauge, newFolder } from './run.ts';

const SAMPLES = new URL('../../sample-scans/', import.meta.url).pathname;
const sample = (name: string): string => join(SAMPLES, name);
/** Exact extents of what was photographed, along and across the piece's own axis, mm. */
const TRUTH = new Map<string, { along: number; across: number }>(
  (
    JSON.parse(readFileSync(sample('photos.truth.json'), 'utf8')) as {
      photos: { file: string; lengths: { along: number; across: number }[] }[];
    }
  ).photos.map(({ file, lengths }) => [file, lengths[0]]),
);

/** Where the winding edge is seen in the photograph from the left, x y pairs, pixels, every millimetre. */
const EDGE: number[] = (
  JSON.parse(readFileSync(sample('photos.truth.json'), 'utf8')) as {
    photos: { file: string; edge?: number[] }[];
  }
).photos.find(({ file }) => file === 'qt-41-3-photo-left.jpg')!.edge!;

/** RMS distance of a line from its own least-squares line, by the lesser second moment. */
function wanderOf(line: readonly number[]): number {
  const n = line.length / 2;
  const mean = (first: number): number => line.reduce((sum, v, i) => sum + (i % 2 === first ? v : 0), 0) / n;
  const [mx, my] = [mean(0), mean(1)];
  let [xx, xy, yy] = [0, 0, 0];
  for (let i = 0; i < line.length; i += 2) {
    const [dx, dy] = [line[i] - mx, line[i + 1] - my];
    xx += (dx * dx) / n;
    xy += (dx * dy) / n;
    yy += (dy * dy) / n;
  }
  return Math.sqrt((xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy));
}

/** Length of a line over the straight way between its ends. */
function windingOf(line: readonly number[]): number {
  let way = 0;
  for (let i = 2; i < line.length; i += 2)
    way += Math.hypot(line[i] - line[i - 2], line[i + 1] - line[i - 1]);
  return way / Math.hypot(line[line.length - 2] - line[0], line[line.length - 1] - line[1]);
}

beforeAll(() => {
  // The first start may have to build.
  expect(knapgauge(['--version']).code).toBe(0);
});

const recordIn = (folder: string, name: string): SpecimenRecord =>
  readRecord(readFileSync(join(folder, `${name}.specimen.json`), 'utf8'));
const valueIn = (record: SpecimenRecord, id: string): number =>
  record.measurements.find((measured) => measured.id === id)?.value as number;
const within = (value: number, truth: number, share: number): void =>
  expect(Math.abs(value / truth - 1)).toBeLessThan(share);

describe('measure takes photographs', () => {
  test('of two faces and an edge: record, tables and sheet of one piece; length within 0.3 % of the truth', () => {
    const out = newFolder();
    const views = `A=${sample('qt-41-3-photo-A.jpg')},B=${sample('qt-41-3-photo-B.jpg')},left=${sample('qt-41-3-photo-left.jpg')}`;
    // The winding edge is clicked at six places where it is known to be.
    const step = 2 * Math.floor(EDGE.length / 2 / 5);
    const clicked = EDGE.filter((_, i) => Math.floor(i / 2) % (step / 2) === 0);
    const settings = join(newFolder(), 'views.json');
    writeFileSync(settings, JSON.stringify({ photo: { views: [{ view: 'left', edge: clicked }] } }));
    const given = ['--photo', views, '--bar', '50mm', '--settings', settings];
    const { code, err } = knapgauge(['measure', ...given, '--out', out]);
    expect(err).toBe('');
    expect(code).toBe(0);
    const names = [...filesIn(out).keys()];
    for (const ending of ['specimen.json', 'measures.csv', 'sheet.svg', 'thickness.csv', 'halfWidths.csv']) {
      expect(names).toContain(`qt-41-3-photo-A.${ending}`);
    }
    const text = readFileSync(join(out, 'qt-41-3-photo-A.specimen.json'), 'utf8');
    const record = readRecord(text);
    expect(writeRecord(record)).toBe(text);
    const source = record.source as PhotoSource;
    expect(source.kind).toBe('photo');
    expect(source.scale.method).toBe('bar');
    expect(source.views.map(({ view }) => view)).toEqual(['B', 'left']);
    // Two tracings of one outline at 10 px/mm.
    expect(source.views[0].difference).toBeLessThan(0.1);
    within(valueIn(record, 'length'), TRUTH.get('qt-41-3-photo-A.jpg')!.along, 0.003);
    within(valueIn(record, 'thickness.box'), TRUTH.get('qt-41-3-photo-left.jpg')!.across, 0.03);
    const thickness = record.measurements.find(({ id }) => id === 'thickness');
    expect(thickness?.estimated).toBe(true);
    expect(record.profile.y.length).toBeGreaterThan(100);
    const wander = record.measurements.find(({ id }) => id === 'edge.wander.left')!;
    expect(wander.byHand).toBe(true);
    // To a third of a pixel of 0.1 mm.
    expect(Math.abs((wander.value as number) - wanderOf(EDGE) / source.views[1].pxPerMm)).toBeLessThan(0.035);
    // The truth is told every millimetre, which shortens it a little.
    expect(Math.abs(valueIn(record, 'edge.sinuosity.left') - windingOf(EDGE))).toBeLessThan(0.015);
    expect(record.measurements.find(({ id }) => id === 'edge.angle.mean')?.reason).toMatch(/margin|faces/);
  });

  test('on the mat at 8° of tilt: length within 0.3 %; the same bytes again', () => {
    const [first, second] = [newFolder(), newFolder()];
    for (const out of [first, second]) {
      const options = ['--mat', '--printed-bar', '100', '--thickness', '6', '--only', 'json', '-q'];
      expect(knapgauge(['measure', sample('qt-41-4-photo.jpg'), ...options, '--out', out]).code).toBe(0);
    }
    expect(filesIn(second)).toEqual(filesIn(first));
    const record = recordIn(first, 'qt-41-4-photo');
    within(valueIn(record, 'length'), TRUTH.get('qt-41-4-photo.jpg')!.along, 0.003);
    expect((record.source as PhotoSource).scale.camera?.tilt).toBeCloseTo(8, 0);
  });

  test('and refuses one without a scale in one sentence; a bad view by its name; the others are done', () => {
    const out = newFolder();
    const bad = knapgauge(['measure', sample('unusable-photo.jpg'), '--out', out]);
    expect(bad.code).toBe(3);
    expect(bad.err).toMatch(/unusable-photo\.jpg: No scale was found/);
    expect(bad.err.trim().split('\n')).toHaveLength(1);
    // The mat's own bar has 100 mm: told to be half as long, it is not taken against the mat.
    const half = knapgauge(['measure', sample('qt-41-4-photo.jpg'), '--bar', '50mm', '--out', out]);
    expect([half.code, half.err]).toEqual([3, expect.stringMatching(/scale mat, .* 2\.0\d times as long/)]);
    const views = `A=${sample('qt-41-3-photo-A.jpg')},B=${sample('unusable-photo.jpg')}`;
    const second = knapgauge(['measure', '--photo', views, '--bar', '50mm', '--out', out]);
    expect(second.code).toBe(3);
    expect(second.err).toMatch(/View B: No scale bar was found/);
    expect(filesIn(out).size).toBe(0);
  });

  test.each([
    [['--photo', 'B=b.jpg'], 'Face A is missing'],
    [['--photo', 'front=b.jpg'], 'must name each view once'],
    [['--photo', 'A=a.jpg,left=l.jpg,left=r.jpg'], 'must name each view once'],
    [['a.jpg', '--bar', '50mm', '--ppmm', '3'], 'One way to the scale'],
    [['a.jpg', '--bar', 'five'], 'length such as 50mm'],
  ])('%j is not understood, and ends with 2', (given, words) => {
    const { code, err } = knapgauge(['measure', ...given, '--out', join(newFolder(), 'none')]);
    expect(code).toBe(2);
    expect(err).toContain(words);
  });
});
