import { afterAll, beforeAll, expect, test } from 'vitest';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

let workbench: Workbench;

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

test('after one visit the workbench opens and measures with the network unplugged', async () => {
  const visit = await workbench.visit({ serviceWorkers: 'allow' });
  const { page } = visit;
  const controlled = (): Promise<unknown> =>
    page.waitForFunction(() => navigator.serviceWorker.controller !== null, null, { timeout: 60_000 });
  await controlled();
  // What was opened and written before is there without a network as well.
  const buffer = toPly(humpedPiece(8_000));
  await page.setInputFiles('input[aria-label="Scan files"]', { name: 'own.ply', mimeType: '', buffer });
  await untilMeasured(page);
  await page.getByLabel('Notes').fill('written with a network');
  await page.getByLabel('Notes').blur();
  await page.waitForSelector('.keep-state[data-state="kept"]');
  const address = page.url();

  // The server is gone altogether, which is harder than a browser that was told to be offline.
  await workbench.stopServing();
  await page.reload();
  await untilMeasured(page);
  expect(page.url()).toBe(address);
  await expect.poll(() => page.getByLabel('Notes').inputValue()).toBe('written with a network');
  // A demo piece's scan, and the other workers.
  await page.goto(`${workbench.origin}/#/bench/qt-41-18-small-point`);
  await untilMeasured(page);
  await page.goto(`${workbench.origin}/#/plate`);
  await page.locator('.plate-preview img').waitFor({ timeout: 30_000 });
  await page.goto(`${workbench.origin}/#/lineup/table`);
  await page.getByText('own', { exact: true }).first().waitFor({ timeout: 30_000 });
  // A new scan.
  await page.setInputFiles('input[aria-label="Scan files"]', { name: 'unplugged.ply', mimeType: '', buffer });
  await untilMeasured(page);
  await expect.poll(() => page.locator('h1').textContent()).toBe('unplugged');
  await visit.shoot('offline');
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
}, 120_000);
