import { spawnSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';
import { barLength, drawingScale } from '../../src/plate/drawingScale.ts';
import { sheet } from '../../src/plate/sheet.ts';
import { escapeXml, svgNumber } from '../../src/plate/svg.ts';
import type { SpecimenRecord } from '../../src/record/schema.ts';
import { LENGTH, makeParts, makeRecord } from '../record/fixture.ts';

const map = makeParts().result.thicknessMap;
const page = sheet(makeRecord(), map);

interface Parsed {
  readonly tags: string[];
  readonly texts: string[];
  /** Attributes of every element, in order. */
  readonly attributes: Record<string, string>[];
}

/** The page as Python's XML parser reads it. */
function parse(svg: string): Parsed {
  const program = [
    'import json,sys,xml.etree.ElementTree as E',
    'all=list(E.fromstring(sys.stdin.buffer.read()).iter())',
    'print(json.dumps({"tags":[e.tag.split("}")[1] for e in all],"texts":[e.text for e in all if e.text],"attributes":[e.attrib for e in all]}))',
  ].join('\n');
  const run = spawnSync('/usr/bin/python3', ['-c', program], { input: svg, encoding: 'utf8' });
  expect(run.stderr).toBe('');
  return JSON.parse(run.stdout) as Parsed;
}

describe('the sheet', () => {
  test('is the same bytes for the same record and map', () => {
    expect(sheet(makeRecord(), makeParts().result.thicknessMap)).toBe(page);
  });

  test('is one A4 page in millimetres (poppler on librsvg’s PDF)', () => {
    const pdf = spawnSync('rsvg-convert', ['-f', 'pdf'], { input: page });
    expect(pdf.status, String(pdf.stderr)).toBe(0);
    const info = spawnSync('pdfinfo', ['-'], { input: pdf.stdout, encoding: 'utf8' }).stdout;
    expect(info).toMatch(/Pages:\s+1\n/);
    const [, width, height] = info.match(/Page size:\s+([\d.]+) x ([\d.]+) pts/) ?? [];
    expect(Number(width)).toBeCloseTo((210 * 72) / 25.4, 1);
    expect(Number(height)).toBeCloseTo((297 * 72) / 25.4, 1);
  });

  test('draws a piece that fits at its true size, and says so', () => {
    const { texts, attributes } = parse(page);
    expect(texts).toContain('third-angle projection, 1:1');
    expect(texts).toContain('50 mm');
    expect(attributes.some(({ width, height }) => width === '50' && height === '1.2')).toBe(true);
    const outline = attributes.find(({ d, 'stroke-width': line }) => d && line === '0.35');
    const ys = (outline?.d ?? '').match(/[\d.]+,[\d.]+/g)?.map((pair) => Number(pair.split(',')[1])) ?? [];
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(LENGTH, 2);
  });

  test('shows main numbers with their uncertainty, sections, humps, warnings', () => {
    const { texts } = parse(page);
    for (const text of [
      '120.012',
      '± 0.023',
      'Width / thickness',
      '3.1196',
      'A1',
      '10 %',
      '90 %',
      'from the left',
    ]) {
      expect(texts).toContain(text);
    }
    expect(texts.join(' ')).toContain('The file names no unit; millimetres were guessed from its size.');
  });

  test.each([
    '<script>alert(1)</script>',
    '"; drop table stones; --',
    "O'Brien & sons <b>",
    'a]]>b<!--c',
    'two\nlines\u0000\u0008',
    '\ud800 lone',
    '石器 nº 3 \u202e rtl',
  ])('keeps the catalogue number %j as text', (number) => {
    const record: SpecimenRecord = { ...makeRecord(`${number}.ply`), catalogue: { number } };
    const { tags, texts } = parse(sheet(record, map));
    expect(new Set(tags)).toEqual(new Set(['svg', 'title', 'g', 'rect', 'line', 'path', 'text', 'clipPath']));
    const expected = number
      .replaceAll('\u0000', '\ufffd')
      .replaceAll('\u0008', '\ufffd')
      .replaceAll('\ud800', '\ufffd');
    expect(texts).toContain(expected);
  });

  test('shortens a name that would run off the page', () => {
    const { texts } = parse(sheet(makeRecord(`${'very-'.repeat(60)}long.ply`), map));
    const [, name] = texts;
    expect(Array.from(name).length).toBe(42);
    expect(name.endsWith('…')).toBe(true);
  });

  test.each([1e-3, 8, 14, 60, 200, 450, 1e6])('holds a piece of %d mm within the page', (length) => {
    const record = scaled(makeRecord(), length / LENGTH);
    const { attributes } = parse(sheet(record));
    const pairs = attributes.flatMap(({ d }) => d?.match(/-?[\d.]+,-?[\d.]+/g) ?? []);
    const points = pairs.map((pair) => pair.split(',').map(Number));
    const outside = points.filter(([x, y]) => !(x > 0 && x < 210 && y > 0 && y < 297));
    expect(points.length).toBeGreaterThan(100);
    expect(outside).toEqual([]);
  });

  test('goes without what a record lacks: margin, profile, sections, humps, series', () => {
    const bare: SpecimenRecord = {
      ...makeRecord(),
      margin: [],
      profile: { y: [], faceA: [], faceB: [] },
      sections: [],
      humps: [],
      series: {},
      warnings: [],
      measurements: [],
    };
    const { texts } = parse(sheet(bare));
    expect(texts).toContain('Face A');
    expect(texts).not.toContain('from the left');
    expect(texts).not.toContain('To note');
  });
});

describe('drawing scale', () => {
  test('is true size when that fits, else the greatest reduction that does', () => {
    const into = (room: number, size: number) => drawingScale(size, (factor) => factor * size <= room).name;
    expect(into(130, 120)).toBe('1:1');
    expect(into(130, 140)).toBe('2:3');
    expect(into(130, 250)).toBe('1:2');
    expect(into(130, 1000)).toBe('1:10');
    expect(into(130, 6)).toBe('20:1');
  });

  test('the bar is a round length that fits', () => {
    expect(barLength(1, 50)).toBe(50);
    expect(barLength(1 / 2, 50)).toBe(100);
    expect(barLength(2 / 3, 50)).toBe(50);
    expect(barLength(20, 50)).toBe(2);
  });
});

describe('SVG text', () => {
  test('escapes every character with a meaning', () => {
    expect(escapeXml(`<a href="x" id='y'>&`)).toBe('&lt;a href=&quot;x&quot; id=&#39;y&#39;&gt;&amp;');
  });

  test('refuses a number that can’t be drawn', () => {
    expect(() => svgNumber(NaN)).toThrow(RangeError);
    expect(svgNumber(-0.0001)).toBe('0');
  });
});

/** The same piece at another size. */
function scaled(record: SpecimenRecord, factor: number): SpecimenRecord {
  const pair = ([x, y]: readonly [number, number]) => [x * factor, y * factor] as const;
  const times = (value: number) => value * factor;
  return {
    ...record,
    frame: { ...record.frame, length: times(record.frame.length) },
    outline: { outer: record.outline.outer.map(pair), inner: [] },
    midline: record.midline.map(pair),
    margin: record.margin.map(({ x, y, z, s, side }) => ({
      x: times(x),
      y: times(y),
      z: times(z),
      s: times(s),
      side,
    })),
    profile: {
      y: record.profile.y.map(times),
      faceA: record.profile.faceA.map(times),
      faceB: record.profile.faceB.map(times),
    },
    sections: record.sections.map((section) => ({
      ...section,
      y: times(section.y),
      points: section.points.map(pair),
    })),
    series: {},
  };
}
