import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { drawingPdf } from '../../src/plate/drawingPdf.ts';
import { drawingPng } from '../../src/plate/drawingPngNode.ts';
import { drawingSvg } from '../../src/plate/drawingSvg.ts';
import { arrisesOf } from '../../src/plate/faces.ts';
import { missingLines } from '../../src/plate/figureLines.ts';
import { spread } from '../../src/plate/figureSections.ts';
import { typefacesInNode } from '../../src/plate/fontsNode.ts';
import { hatch } from '../../src/plate/hatch.ts';
import { drawPlates } from '../../src/plate/plate.ts';
import { readStyle, verifyStyle } from '../../src/plate/plateStyle.ts';
import { sectionsAt, surfaceOf } from '../../src/plate/scanViews.ts';
import { measureScan } from '../../src/record/measureScan.ts';
import { readRecord } from '../../src/record/read.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { writeRecord } from '../../src/record/write.ts';
import { platePiece } from '../../workers/plateJob.ts';
import { askPython } from '../outside/python.ts';
import { LENGTH, makeRecord } from '../record/fixture.ts';
import { barIn } from './printedBar.ts';

const faces = await typefacesInNode();
const record = makeRecord();
const hostile = '<script>alert("x")</script>"; drop';

function poppler(tool: string, args: readonly string[]): string {
  const run = spawnSync(tool, args, { encoding: 'utf8' });
  if (run.error) throw run.error;
  expect(run.status, run.stderr).toBe(0);
  return run.stdout;
}

describe('a plate is true to scale (poppler’s and librsvg’s dots, measured by numpy)', () => {
  test.each([
    ['1:1', 50, 50],
    ['1:2', 100, 50],
    ['2:3', 50, 33.333],
  ])('at %s a bar of %d mm is %d mm on paper', async (scale, real, paper) => {
    const [drawing] = drawPlates(
      [{ record }],
      verifyStyle({ scale, paper: 'A5', layout: 'plan' }),
      faces,
      'a1',
    );
    const folder = mkdtempSync(join(tmpdir(), 'knapgauge-'));
    const [pdf, png] = [join(folder, 'p.pdf'), join(folder, 'p.png')];
    writeFileSync(pdf, await drawingPdf([drawing], faces));
    writeFileSync(png, await drawingPng(drawing, faces, 300));
    poppler('pdftoppm', ['-r', '300', '-gray', '-png', '-singlefile', pdf, join(folder, 'dots')]);
    expect(drawingSvg(drawing)).toContain(`>${real} mm</text>`);
    for (const [file, dpi] of [
      [png, 300],
      [join(folder, 'dots.png'), 300],
    ] as const) {
      const { length, height } = barIn(file, dpi);
      expect(Math.abs(length - paper)).toBeLessThan(0.1);
      expect(Math.abs(height - 210)).toBeLessThan(0.1);
    }
  });

  test('the outline is as long as the piece', () => {
    const [drawing] = drawPlates([{ record }], verifyStyle({ scale: '1:1', layout: 'plan' }), faces, 'a1');
    const [, d] = /<path d="([^"]+)" stroke="#1a1816" stroke-width="0.35"/.exec(drawingSvg(drawing))!;
    const ys = [...d.matchAll(/,([\d.-]+)/g)].map(([, y]) => Number(y));
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(LENGTH, 2);
  });
});

test('faces are drawn by arrises found on the scan: thin lines inside the outline, on both faces', async () => {
  const style = verifyStyle({ face: 'arrises', layout: 'faces', scale: '1:1', midline: false });
  const bytes = readFileSync(join(ROOT, 'sample-scans/qt-41-3-late-biface.ply'));
  const measured = await measureScan(bytes, 'late.ply', DEFAULT_SETTINGS);
  const piece = platePiece(measured, style);
  const { arrisesA = [], arrisesB = [] } = piece.faces ?? {};
  const { outer } = measured.record.outline;
  for (const [lines, sign] of [
    [arrisesA, 1],
    [arrisesB, -1],
  ] as const) {
    // Scars of a late biface: dozens of ridges, none of them outside.
    expect(lines.length).toBeGreaterThan(20);
    const strays = lines.flatMap((line) =>
      Array.from({ length: line.length / 2 }, (_, i) => [sign * line[2 * i], line[2 * i + 1]]).filter(
        ([x, y]) => !isInside(x, y, outer),
      ),
    );
    expect(strays).toEqual([]);
  }
  const [drawing] = drawPlates([piece], style, faces, 'a1');
  expect(drawingSvg(drawing)).toContain('arrises found on the scan');
  expect(drawingSvg(drawing).match(/stroke-width="0.15"/g)?.length).toBe(2);

  // The scan laid by its record alone is the surface that was traced: the same arrises and the same sections.
  const again = await surfaceOf(bytes, readRecord(writeRecord(measured.record)));
  expect(arrisesOf(again.mesh, again.length).arrisesA?.length).toBe(arrisesA.length);
  const [known] = measured.record.sections.filter(({ at, station }) => at === 'station' && station === 40);
  const [cut, other] = sectionsAt(again, [40, 43.5]);
  expect(extent(cut.points)).toBeCloseTo(extent(known.points), 1);
  expect(other.y).toBeCloseTo(0.435 * again.length, 6);
  const full = verifyStyle({ face: 'outline', stations: [40, 43.5], scale: '1:1' });
  const svg = drawingSvg(drawPlates([{ ...piece, sections: [other] }], full, faces, 'a1')[0]);
  expect(svg).toContain('>43.5 %</text>');
  expect(svg).toContain('>40 %</text>');
});

/** Across. */
function extent(ring: readonly (readonly [number, number])[]): number {
  const x = ring.map(([at]) => at);
  return Math.max(...x) - Math.min(...x);
}

/** By the number of crossings to the right. */
function isInside(x: number, y: number, ring: readonly (readonly [number, number])[]): boolean {
  return (
    ring.filter(([x1, y1], i) => {
      const [x2, y2] = ring[(i + 1) % ring.length];
      return y1 > y !== y2 > y && x < x1 + ((y - y1) / (y2 - y1)) * (x2 - x1);
    }).length %
      2 ===
    1
  );
}

describe('the files', () => {
  test('PDF: type embedded, words whole, metadata in, the same bytes again', async () => {
    const named = { ...record, catalogue: { ...record.catalogue, number: hostile } };
    const drawings = drawPlates([{ record: named }], verifyStyle({}), faces, 'a1');
    const bytes = await drawingPdf(drawings, faces);
    expect(await drawingPdf(drawings, faces)).toEqual(bytes);
    const file = join(mkdtempSync(join(tmpdir(), 'knapgauge-')), 'p.pdf');
    writeFileSync(file, bytes);
    const fonts = poppler('pdffonts', [file]).trim().split('\n').slice(2);
    expect(fonts).toHaveLength(2);
    for (const font of fonts) expect(font).toMatch(/TrueType +Identity-H +yes /);
    expect(poppler('pdfinfo', [file])).toContain('settings SHA-256 a1');
    const text = poppler('pdftotext', ['-layout', file, '-']);
    expect(text).toContain(hostile);
    expect(text).toContain('Third-angle projection.');
  });

  test('a PDF of several pages names the pieces of all', async () => {
    const numbers = ['7/1', '7/2', '7/3'];
    const pieces = numbers.map((number) => ({
      record: { ...record, catalogue: { ...record.catalogue, number } },
    }));
    const drawings = drawPlates(pieces, verifyStyle({ scale: '1:1' }), faces, 'a1');
    expect(drawings.length).toBeGreaterThan(1);
    const file = join(mkdtempSync(join(tmpdir(), 'knapgauge-')), 'p.pdf');
    writeFileSync(file, await drawingPdf(drawings, faces));
    const info = poppler('pdfinfo', [file]);
    expect(info).toMatch(/Title: +Plate of 3 pieces at 1:1\n/);
    expect(info).toContain('7/1; 7/2; 7/3. Scale 1:1');
  });

  test('SVG: XML with the number as text (Python’s parser)', () => {
    const named = { ...record, catalogue: { ...record.catalogue, number: hostile } };
    const [drawing] = drawPlates([{ record: named }], verifyStyle({}), faces, 'a1');
    const found = askPython<{ tags: string[]; texts: string[] }>(
      `
import xml.etree.ElementTree as E
all = list(E.fromstring(data["svg"].encode()).iter())
print(json.dumps({"tags": [e.tag.split("}")[-1] for e in all], "texts": [e.text for e in all if e.text]}))`,
      { svg: drawingSvg(drawing) },
    );
    expect(found.tags).not.toContain('script');
    expect(found.texts).toContain(hostile);
  });

  test('PNG: resolution and words inside (Pillow)', async () => {
    const [drawing] = drawPlates([{ record }], verifyStyle({ paper: 'A5' }), faces, 'a1');
    const file = join(mkdtempSync(join(tmpdir(), 'knapgauge-')), 'p.png');
    writeFileSync(file, await drawingPng(drawing, faces, 300));
    const told = askPython<{ dpi: [number, number]; text: Record<string, string> }>(
      `
from PIL import Image
i = Image.open(data["file"]); i.load()
print(json.dumps({"dpi": [float(v) for v in i.info["dpi"]], "text": dict(i.text)}))`,
      { file },
    );
    expect(told.dpi[0]).toBeCloseTo(300, 1);
    expect(told.text.Description).toContain('settings SHA-256 a1');
  });
});

describe('the pages', () => {
  test('a series is numbered, at one scale, on as many pages as it needs', () => {
    const drawings = drawPlates(Array(7).fill({ record }), verifyStyle({ scale: '1:2' }), faces, 'a1');
    expect(drawings.length).toBeGreaterThan(1);
    const all = drawings.map((drawing) => drawingSvg(drawing)).join('');
    for (let n = 1; n <= 7; n++)
      expect(all).toContain(
        `font-weight="600" text-anchor="middle" fill="#1a1816" xml:space="preserve">${n}</text>`,
      );
  });

  test('what does not fit is refused with a scale that does', () => {
    expect(() => drawPlates([{ record }], verifyStyle({ scale: '5:1' }), faces, 'a1')).toThrow(
      /choose \d+:\d+ or smaller/,
    );
  });

  test('find-spots are printed only when asked for', () => {
    const found = { ...record, catalogue: { ...record.catalogue, findSpot: 'Trench 7' } };
    const page = (findSpot: boolean): string =>
      drawingSvg(drawPlates([{ record: found }], verifyStyle({ findSpot }), faces, 'a1')[0]);
    expect(page(false)).not.toContain('Trench 7');
    expect(page(true)).toContain('Trench 7');
  });

  test('a missing part is dashed on only where the catalogue says so', () => {
    expect(missingLines(record)).toEqual([]);
    const snapped = { ...record, catalogue: { condition: 'snapped', survives: 'tip' } } as const;
    const lines = missingLines(snapped);
    expect(lines).toHaveLength(2);
    for (const [, end] of lines) expect(end[1]).toBeLessThan(0);
  });

  test('dashes go on from the corners of a slanted break as the sides lean, and never cross', () => {
    // Sides lean inward by 1 in 10 toward the break, which runs from (-20, 8) to (18.2, -10).
    const slanted = (lean: number): typeof record =>
      ({
        ...record,
        catalogue: { condition: 'snapped', survives: 'tip' },
        frame: { ...record.frame, length: 100 },
        outline: {
          outer: [
            [-20, 8],
            [20 - 18 * lean, -10],
            [20 + 82 * lean, 90],
            [-20 - 82 * lean, 90],
          ],
          inner: [],
        },
      }) as typeof record;
    const [left, right] = missingLines(slanted(0.1));
    const leanOf = ([[x1, y1], [x2, y2]]: typeof left): number => (x2 - x1) / (y2 - y1);
    expect(leanOf(left)).toBeCloseTo(-0.1, 6);
    expect(leanOf(right)).toBeCloseTo(0.1, 6);
    expect(left[0][1]).toBeLessThan(8);
    expect(left[0][1]).toBeGreaterThan(-10);
    expect(left[1][1]).toBeCloseTo(right[1][1], 6);
    const [a, b] = missingLines(slanted(0.9));
    expect(a[1][0]).toBeLessThan(b[1][0]);
  });

  test('a page cut to its figure holds all that is drawn, and its bar is as long as ever', () => {
    const style = { scale: '1:1', trim: true, border: 5, layout: 'plan', caution: false };
    const [whole] = drawPlates([{ record }], verifyStyle({ ...style, trim: false }), faces, 'a1');
    const [cut] = drawPlates([{ record }], verifyStyle(style), faces, 'a1');
    expect(cut.width).toBeCloseTo(90, 3);
    expect(cut.height).toBeGreaterThan(LENGTH);
    expect(cut.height).toBeLessThan(whole.height / 1.5);
    expect(drawingSvg(cut)).toContain('>50 mm</text>');
  });

  test('without a legend and a caption pieces stand with their own numbers and few words', () => {
    const style = verifyStyle({ legend: false, caption: false, caution: false, scale: '1:2' });
    const named = { ...record, catalogue: { ...record.catalogue, number: 'QT 1' } };
    const [drawing] = drawPlates([{ record: named }, { record }], style, faces, 'a1');
    const words = [...drawingSvg(drawing).matchAll(/<text [^>]*>([^<]*)</g)].map(([, text]) => text);
    expect(words).toContain('QT 1');
    expect(words.join(' ')).not.toMatch(/Scale|length/);
  });
});

test('spread keeps order and gaps, and leaves alone what has room', () => {
  expect(spread([0, 100], [5, 5], 3)).toEqual([0, 100]);
  expect(spread([10, 11], [5, 5], 3)).toEqual([4, 17]);
});

test('hatching covers a square as densely as it says, and no hole', () => {
  const square = Float64Array.of(0, 0, 20, 0, 20, 20, 0, 20);
  const hole = Float64Array.of(5, 5, 15, 5, 15, 15, 5, 15);
  // Spacing is counted along x: strokes lie 0.1 / √2 apart, so that length × distance is area.
  const area = (rings: Float64Array[]): number =>
    hatch(rings, 0.1).reduce((sum, [x1, y1, x2, y2]) => sum + Math.hypot(x2 - x1, y2 - y1), 0) *
    (0.1 / Math.SQRT2);
  expect(area([square])).toBeCloseTo(400, 0);
  expect(area([square, hole])).toBeCloseTo(300, 0);
});

test.each([
  ['{', /not JSON/],
  ['{"papr":"A4"}', /no "papr"/],
  ['{"lines":{"margin":0}}', /lines\.margin must be a number from 0\.05 to 2/],
  ['{"scale":"0:1"}', /scale must be/],
  ['{"__proto__":{}}', /no "__proto__"/],
  ['[]', /must be an object/],
])('a style %s is refused by name', (text, message) => {
  expect(() => readStyle(text)).toThrow(message);
});
