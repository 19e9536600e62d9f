import { spawnSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { drawingPdf } from '../../src/plate/drawingPdf.ts';
import { drawingPng } from '../../src/plate/drawingPngNode.ts';
import { drawingSvg } from '../../src/plate/drawingSvg.ts';
import { missingLines, spread } from '../../src/plate/figure.ts';
import { typefacesInNode } from '../../src/plate/fontsNode.ts';
import { hatch } from '../../src/plate/hatch.ts';
import { drawPlates } from '../../src/plate/plate.ts';
import { readStyle, verifyStyle } from '../../src/plate/plateStyle.ts';
import { askPython } from '../outside/python.ts';
import { LENGTH, makeRecord } from '../record/fixture.ts';

const faces = await typefacesInNode();
const record = makeRecord();
const hostile = '<script>alert("x")</script>"; drop';

function poppler(tool: string, args: readonly string[]): string {
  const run = spawnSync(tool, args, { encoding: 'utf8' });
  if (run.error) throw run.error;
  expect(run.status, run.stderr).toBe(0);
  return run.stdout;
}

/** Length of the black scale bar, mm, in a PNG of the page (rows searched for one long dark run). */
function barIn(file: string, dpi: number): { length: number; height: number } {
  return askPython(
    `
from PIL import Image
import numpy
Image.MAX_IMAGE_PIXELS = None
g = numpy.asarray(Image.open(data["file"]).convert("L")) < 128
mm = 25.4 / data["dpi"]
x0 = int(round(15 / mm))
best = 0
# The upper rail of the bar runs unbroken from the left border.
for row in g[:, x0 + 2:]:
    n = len(row) if row.all() else int(numpy.argmin(row))
    best = max(best, n)
print(json.dumps({"length": (best + 2) * mm, "height": g.shape[0] * mm}))`,
    { file, dpi },
  );
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
    for (const line of lines) for (const [, y] of line) expect(y).toBeLessThan(0);
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
