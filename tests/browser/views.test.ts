import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { readRecord } from '../../src/record/read.ts';
import type { PhotoSource } from '../../src/record/schema.ts';
import { filesIn, knapgauge, newFolder } from '../cli/run.ts';
import { breaches } from './axe.ts';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

const SAMPLES = join(ROOT, 'sample-scans');
const bytes = (view: string): Buffer => readFileSync(join(SAMPLES, `qt-41-3-photo-${view}.jpg`));
const file = (name: string, view: string) => ({ name, mimeType: '', buffer: bytes(view) });
/** Where the winding edge is seen in the photograph from the left, pixels. */
const edge: number[] = (
  JSON.parse(readFileSync(join(SAMPLES, 'photos.truth.json'), 'utf8')) as {
    photos: { file: string; edge?: number[] }[];
  }
).photos.find((photo) => photo.file === 'qt-41-3-photo-left.jpg')!.edge!;

let workbench: Workbench;
let visit: Visit;
let folder: string;

beforeAll(async () => {
  workbench = await openWorkbench();
  folder = mkdtempSync(join(tmpdir(), 'knapgauge-views-'));
});
afterAll(async () => {
  await workbench.close();
  rmSync(folder, { recursive: true, force: true });
});
beforeEach(async () => {
  visit = await workbench.visit();
});
afterEach(async () => {
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
});

const pane = (page: Page, name: string) => page.getByRole('region', { name: `Photograph, ${name}` });
const FROM_LEFT = 'Left edge';

async function openFaceA(page: Page): Promise<void> {
  await page.setInputFiles('input[aria-label="Scan files"]', file('point A.jpg', 'A'));
  await page.waitForSelector('.scale-amiss');
  await page.getByLabel('Scale from').selectOption('bar');
  await page.getByLabel('Known of it').selectOption('whole');
  await page.getByLabel('Length of the bar, mm').fill('50');
  await page.keyboard.press('Enter');
  await untilMeasured(page);
}

const add = (page: Page, files: ReturnType<typeof file>[]): Promise<void> =>
  page.setInputFiles('input[aria-label="Further photographs"]', files);

async function settled(page: Page): Promise<void> {
  await page.waitForFunction(() => document.querySelector('.photo-bench .progress') === null);
  await untilMeasured(page);
}

async function savedRecord(page: Page): Promise<string> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save record' }).click(),
  ]);
  return readFileSync(await download.path(), 'utf8');
}

/** A place of the photograph in a pane as it is on the screen. */
async function onScreen(page: Page, name: string, x: number, y: number): Promise<[number, number]> {
  const box = (await pane(page, name).locator('.photo-fill image').boundingBox())!;
  return [box.x + ((x + 0.5) / 1500) * box.width, box.y + ((y + 0.5) / 1250) * box.height];
}

/** Each number of the photographs is shown where it comes from; what has none for one reason stands behind one line. */
async function hasEveryPicture(page: Page): Promise<void> {
  const bare = (): Promise<(string | null)[]> =>
    page
      .locator('tr[data-measure]:not(.row-empty)')
      .evaluateAll((rows) =>
        rows
          .filter((row) => row.querySelector('.row-show svg path') === null)
          .map((row) => row.getAttribute('data-measure')),
      );
  await expect.poll(bare, { timeout: 20_000 }).toEqual([]);
  const family = page.locator('.family', { hasText: 'Edge angle' }).first();
  expect(await family.locator('tr').count()).toBeLessThan(6);
  await family.getByRole('button', { name: /not measured$/ }).click();
  await family.locator('[data-measure="edge.angle.mean"]').waitFor();
  await page.getByRole('button', { name: 'Show Edge range, left on the piece' }).click();
  await expect.poll(() => page.locator('.sheet .shown-dimension').count()).toBe(2);
  // Where across the piece they are nobody knows: nothing of them is drawn on the plan.
  await expect.poll(() => page.locator('.sheet .shown-dot').count()).toBe(0);
  await page.getByRole('button', { name: 'Stop showing it' }).click();
}

test('further photographs are told apart, measured as on the command line, traced, undone, kept, and go along in the archive', async () => {
  const { page } = visit;
  await openFaceA(page);
  // One is told by its name, the other, without a telling name, by its outline.
  await add(page, [file('IMG_2.jpg', 'left'), file('point B.jpg', 'B')]);
  await pane(page, 'Face B').waitFor();
  await pane(page, FROM_LEFT).waitFor();
  await page.locator('[data-measure="thickness"] .row-mark').waitFor();
  await settled(page);
  await expect.poll(() => page.locator('.photo-fill image').count()).toBe(3);
  await expect
    .poll(() => page.locator('[data-measure="thickness"] .row-mark').textContent())
    .toBe('estimated');
  await visit.shoot('views-1440');
  // The plan shows either face as it was photographed, and so does a plate.
  await page.locator('.sheet').getByRole('button', { name: 'Face B' }).click();
  await visit.shoot('views-face-b');
  const bench = new URL(page.url()).hash;
  await page.getByRole('link', { name: 'Plate' }).click();
  await page.locator('.plate-preview[aria-busy="false"] img').waitFor();
  await visit.shoot('views-plate');
  const [plate] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save SVG' }).click(),
  ]);
  const svg = readFileSync(await plate.path(), 'utf8');
  expect(svg).toContain('>Face B</text>');
  expect(svg.match(/<image /g)).toHaveLength(2);
  await page.goto(`${workbench.origin}/${bench}`);
  await untilMeasured(page);

  // The same photographs and settings on the command line: the same bytes.
  const out = newFolder();
  const views = ['A', 'B', 'left'].map((view) => `${view}=${join(SAMPLES, `qt-41-3-photo-${view}.jpg`)}`);
  const asked = ['--photo', views.join(','), '--bar', '50mm', '--only', 'json', '--out', out];
  expect(knapgauge(['measure', ...asked]).code).toBe(0);
  const there = [...filesIn(out).values()][0];
  const names: readonly (readonly [string, string])[] = [
    ['point A.jpg', 'qt-41-3-photo-A.jpg'],
    ['point B.jpg', 'qt-41-3-photo-B.jpg'],
    ['IMG_2.jpg', 'qt-41-3-photo-left.jpg'],
  ];
  const here = names.reduce(
    (text, [mine, its]) => text.replace(`"${mine}"`, `"${its}"`),
    await savedRecord(page),
  );
  expect(here === there.toString()).toBe(true);

  // The winding edge, clicked where it is known to be.
  await page.getByRole('button', { name: 'Side by side' }).click();
  await page.getByRole('button', { name: FROM_LEFT }).click();
  await page.getByRole('button', { name: 'Trace the edge' }).click();
  const step = 2 * Math.floor(edge.length / 2 / 5);
  for (let i = 0; i + 1 < edge.length; i += step) {
    await page.mouse.click(...(await onScreen(page, FROM_LEFT, edge[i], edge[i + 1])));
  }
  await page.locator('[data-measure="edge.wander.left"] .row-mark').waitFor();
  await settled(page);
  await visit.shoot('views-edge');
  await page.keyboard.press('Escape');
  await expect.poll(() => page.locator('.wire-line').count()).toBe(1);
  await hasEveryPicture(page);
  const traced = readRecord(await savedRecord(page));
  expect(traced.settings.photo?.views?.[0].edge?.length).toBeGreaterThanOrEqual(10);
  expect(traced.measurements.find(({ id }) => id === 'edge.wander.left')?.byHand).toBe(true);

  // Reload: all of it is there. Taken away, undone.
  await page.waitForSelector('.keep-state[data-state="kept"]');
  await page.reload();
  await untilMeasured(page);
  await expect.poll(() => page.locator('.photo-fill image').count()).toBe(3);
  expect(readRecord(await savedRecord(page))).toEqual(traced);
  await page.locator('.view-tabs').getByRole('button', { name: FROM_LEFT }).click();
  await page.getByRole('button', { name: 'Take away' }).click();
  await page.locator('[data-measure="thickness"] .row-mark').waitFor({ state: 'detached' });
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await page.locator('[data-measure="thickness"] .row-mark').waitFor();
  await settled(page);
  await page.waitForSelector('.keep-state[data-state="kept"]');

  // Out in one archive, into another browser.
  await page.getByRole('link', { name: 'Lineup' }).click();
  await expect.poll(() => page.locator('.long-table tbody tr').first().textContent()).toContain('≈ 14.');
  await page.getByRole('link', { name: 'Drawer' }).click();
  await page.locator('.card').first().waitFor();
  await expect.poll(() => page.locator('.card-size').first().textContent()).toContain(' × ≈ 14.');
  await page.evaluate(() => {
    const demo = 'section[aria-labelledby="demo-pieces"] .card-out';
    for (const out of document.querySelectorAll<HTMLElement>(demo)) out.click();
  });
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Export the drawer' }).click(),
  ]);
  const zip = join(folder, 'drawer.zip');
  await download.saveAs(zip);
  const other = await workbench.visit();
  await other.page.setInputFiles('input[aria-label="Drawer archive"]', zip);
  await other.page.getByText('One piece was brought in').waitFor();
  await other.page.locator('.card a', { hasText: 'point A' }).first().click();
  await untilMeasured(other.page);
  expect(readRecord(await savedRecord(other.page))).toEqual(traced);
  await other.close();
  expect(other.complaints).toEqual([]);
}, 240_000);

test('a view is corrected, has a scale of its own, and asks for it when it finds none; free of breaches of WCAG', async () => {
  const own = await workbench.visit({ bypassCSP: true, viewport: { width: 1024, height: 768 } });
  const { page } = own;
  await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
  await openFaceA(page);
  // The name says one thing, the person another.
  await add(page, [file('right.jpg', 'left')]);
  await pane(page, 'Right edge').waitFor();
  await settled(page);
  await page.getByRole('combobox', { name: 'Shows' }).selectOption('left');
  await pane(page, FROM_LEFT).waitFor();
  // The pane has its new name before the numbers are measured anew.
  let shared = readRecord(await savedRecord(page));
  await expect
    .poll(async () => {
      await settled(page);
      shared = readRecord(await savedRecord(page));
      return (shared.source as PhotoSource).views[0].view;
    })
    .toBe('left');
  await page.getByLabel('Scale from').selectOption('typed');
  await page.getByRole('textbox', { name: 'Pixels in a millimetre' }).fill('5');
  await page.keyboard.press('Enter');
  await page.getByText('check the scale of both pictures').first().waitFor();
  await settled(page);
  const told = readRecord(await savedRecord(page));
  const [before, after] = [shared, told].map(({ source }) => (source as PhotoSource).views[0]);
  expect([before.view, before.method]).toEqual(['left', 'bar']);
  expect([after.view, after.method, after.pxPerMm]).toEqual(['left', 'typed', 5]);
  expect((told.source as PhotoSource).scale).toEqual((shared.source as PhotoSource).scale);
  expect(await breaches(page)).toEqual([]);
  await own.shoot('views-1024');
  await page.emulateMedia({ colorScheme: 'dark' });
  expect(await breaches(page)).toEqual([]);
  await own.shoot('views-1024-dark');

  // A picture without its bar asks for a scale by itself, and what was measured stays on show.
  const buffer = readFileSync(join(SAMPLES, 'unusable-photo.jpg'));
  await add(page, [{ name: 'b.jpg', mimeType: '', buffer }]);
  await page.locator('.heading-fault').waitFor();
  await expect.poll(() => page.locator('.heading-fault').textContent()).toMatch(/^Face B: No scale/);
  await expect.poll(() => page.getByRole('heading', { name: 'Scale, Face B' }).count()).toBe(1);
  await own.shoot('views-fault');
  await page.getByRole('button', { name: 'Undo the change' }).click();
  await settled(page);
  await expect.poll(() => page.locator('.photo-fill image').count()).toBe(2);
  await own.close();
  expect(own.complaints).toEqual([]);
});
