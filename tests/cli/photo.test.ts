import { readFileSync } from 'node:fs';
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
    const { code, err } = knapgauge(['measure', '--photo', views, '--bar', '50mm', '--out', out]);
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
    const views = `A=${sample('qt-41-3-photo-A.jpg')},B=${sample('unusable-photo.jpg')}`;
    const second = knapgauge(['measure', '--photo', views, '--bar', '50mm', '--out', out]);
    expect(second.code).toBe(3);
    expect(second.err).toMatch(/View B: No scale bar was found/);
    expect(filesIn(out).size).toBe(0);
  });

  test.each([
    [['--photo', 'B=b.jpg'], 'Face A is missing'],
    [['--photo', 'front=b.jpg'], 'must name each view once'],
    [['--photo', 'A=a.jpg,left=l.jpg,right=r.jpg'], 'One edge-on view'],
    [['a.jpg', '--bar', '50mm', '--ppmm', '3'], 'One way to the scale'],
    [['a.jpg', '--bar', 'five'], 'length such as 50mm'],
  ])('%j is not understood, and ends with 2', (given, words) => {
    const { code, err } = knapgauge(['measure', ...given, '--out', join(newFolder(), 'none')]);
    expect(code).toBe(2);
    expect(err).toContain(words);
  });
});
