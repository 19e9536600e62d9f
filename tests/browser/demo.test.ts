import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

interface Listed {
  readonly pieces: readonly {
    readonly title: string;
    readonly file: string;
    readonly catalogueNumber: string;
  }[];
}

const list = (name: string): Listed['pieces'] =>
  (JSON.parse(readFileSync(join(ROOT, 'sample-scans', name), 'utf8')) as Listed).pieces;
const pieces = list('drawer.json');
const photographed = list('photos.json');

let workbench: Workbench;

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

test('a first visit finds every demo piece, and its picture and size appear by themselves', async () => {
  const visit = await workbench.firstVisit();
  const { page } = visit;
  await expect
    .poll(() => page.locator('.card h3').allTextContents())
    .toEqual([...pieces, ...photographed].map(({ title }) => title));
  await page.locator('.card-size').nth(1).waitFor({ timeout: 60_000 });
  await expect
    .poll(() => page.locator('.card-size').first().textContent())
    .toMatch(/^\d+\.\d × \d+\.\d × \d+\.\d\u202fmm$/);
  await expect.poll(() => page.locator('img.card-picture').count()).toBeGreaterThanOrEqual(2);
  await visit.shoot('drawer');
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
});

test('a demo piece opens from its card, shows every family, and a link to it works by itself', async () => {
  const [piece] = pieces;
  const visit = await workbench.visit();
  const { page } = visit;
  await page.getByRole('link', { name: piece.title }).click();
  await untilMeasured(page);
  await expect.poll(() => page.locator('h1').textContent()).toBe(`${piece.catalogueNumber} ${piece.title}`);
  await expect
    .poll(() => page.locator('.main-numbers dt').allTextContents())
    .toEqual(['Length', 'Width', 'Thickness', 'Width / thickness', 'Mean edge angle', 'Humps']);
  await expect.poll(() => page.locator('.family').count()).toBeGreaterThanOrEqual(8);
  await page.getByRole('button', { name: 'Section at station 30' }).click();
  await expect.poll(() => page.locator('.section-words').textContent()).toMatch(/^Section at 30 \d/);
  await page.getByRole('searchbox', { name: 'Find a measure' }).fill('sinuosity');
  await expect.poll(() => page.locator('[data-measure]').count()).toBe(2);
  await page.reload();
  await untilMeasured(page);
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
});

test('photographs of the demo drawer: one in several views, and one that is refused with its reason', async () => {
  const visit = await workbench.visit();
  const { page } = visit;
  await page.goto(`${workbench.origin}/#/bench/qt-41-3-photo-A`);
  await untilMeasured(page);
  await expect.poll(() => page.locator('.photo-fill image').count()).toBe(3);
  const thickness = page.locator('[data-measure="thickness"]');
  await expect.poll(() => thickness.locator('.row-mark').textContent()).toBe('estimated');
  await visit.shoot('demo-photos');
  await page.goto(`${workbench.origin}/#/bench/unusable-photo`);
  await page.waitForSelector('.scale-amiss');
  await expect.poll(() => page.locator('.scale-amiss p').textContent()).toMatch(/No scale was found/);
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
});
