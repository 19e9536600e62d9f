import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { askPython } from '../outside/python.ts';
import { barIn } from '../plate/printedBar.ts';
import { keepMany } from './manyPieces.ts';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

let workbench: Workbench;

beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
});

afterAll(() => workbench.close());

test('a plate of the piece on the bench is seen, changed, and saved as SVG, PDF and PNG at true scale', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'knapgauge-plate-'));
  const visit = await workbench.visit();
  const { page } = visit;
  await page.goto(`${workbench.origin}/#/bench/qt-41-18-small-point`);
  await untilMeasured(page);
  await page.getByRole('link', { name: 'Plate' }).click();
  const preview = page.locator('.plate-preview img');
  await preview.waitFor();
  expect(
    await preview.evaluate((image: HTMLImageElement) => image.decode().then(() => image.naturalWidth)),
  ).toBeGreaterThan(100);
  await page.locator('.plate-preview[aria-busy="false"]').waitFor();
  await visit.shoot('plate');

  await page.getByRole('combobox', { name: /^Scale/ }).selectOption('1:1');
  await page.locator('.plate-preview img[alt*="1:1"]').waitFor();
  const save = async (button: string, name: string): Promise<string> => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: button }).click(),
    ]);
    await download.saveAs(join(folder, name));
    return join(folder, name);
  };
  const svg = readFileSync(await save('Save SVG', 'plate.svg'), 'utf8');
  expect(svg).toContain('width="210mm"');
  const pdf = await save('Save PDF', 'plate.pdf');
  // poppler: the page is A4 (210 × 297 mm are 595.28 × 841.89 points) and the words are on it.
  expect(String(execFileSync('pdfinfo', [pdf]))).toMatch(/Page size:\s+595\.2\d* x 841\.8\d*/);
  expect(String(execFileSync('pdftotext', [pdf, '-']))).toContain('QT 41/18');

  // PNG: so many dots, its resolution in it, and the bar is as long as it says.
  await page.getByLabel('PNG, dots an inch').selectOption('300');
  const png = await save('Save PNG', 'plate.png');
  const { size, dpi, title } = askPython<{ size: number[]; dpi: number[]; title: string }>(
    'from PIL import Image\ni = Image.open(data)\ni.load()\nprint(json.dumps({"size": i.size, "dpi": i.info["dpi"], "title": i.info["Title"]}))',
    png,
  );
  expect(size).toEqual([2480, 3508]);
  for (const one of dpi) expect(Math.abs(one - 300)).toBeLessThan(0.02);
  expect(title).toContain('QT 41/18');
  expect(Math.abs(barIn(png, 300).length - 50)).toBeLessThan(0.1);

  // The SVG by itself: CSS makes 96 px an inch, so that a bar of 50 mm has 50 mm of them.
  const sheet = await page.context().newPage();
  await sheet.goto(`file://${join(folder, 'plate.svg')}`);
  const bar = await sheet.evaluate(() => {
    const label = [...document.querySelectorAll('text')].find((text) => text.textContent === '50 mm');
    const words = label?.getBoundingClientRect();
    if (words === undefined) return 0;
    const parts = [...document.querySelectorAll('path')]
      .map((path) => path.getBoundingClientRect())
      .filter(({ top, bottom, right }) => top >= words.top && bottom <= words.bottom && right <= words.left);
    const left = Math.min(...parts.map((part) => part.left));
    return ((Math.max(...parts.map(({ right }) => right)) - left) / 96) * 25.4;
  });
  expect(Math.abs(bar - 50)).toBeLessThan(0.1);
  await sheet.close();

  // Arrises and sections elsewhere are drawn from the scan itself, which is read again for them.
  const settled = async (): Promise<void> => {
    await page.waitForTimeout(250);
    await page.locator('.plate-preview[aria-busy="false"]').waitFor();
  };
  await page.getByRole('combobox', { name: /^Faces/ }).selectOption('arrises');
  await page.getByLabel('Stations').fill('33, 66');
  await page.getByLabel('Stations').press('Enter');
  await page.getByRole('checkbox', { name: 'Hatched' }).check();
  await settled();
  await visit.shoot('plate-arrises');
  const lines = readFileSync(await save('Save SVG', 'arrises.svg'), 'utf8');
  expect(lines).toContain('arrises found on the scan');
  expect(lines).toMatch(/>33 %<.*>66 %</s);
  expect(lines).not.toContain('<image');

  // The style is kept under a name: in the browser, and as a file that comes back.
  await page.getByRole('button', { name: 'Save as…' }).click();
  await page.getByLabel('Name of the style').fill('two stations');
  await page.getByRole('button', { name: 'Save style' }).click();
  const file = await save('Export', 'own.json');
  expect(JSON.parse(readFileSync(file, 'utf8'))).toMatchObject({ name: 'two stations', face: 'arrises' });
  await page.getByRole('button', { name: 'Delete' }).click();
  await page.getByLabel('Named').selectOption('house');
  await page.setInputFiles('input[aria-label="Style file"]', file);
  await page.waitForFunction(() =>
    [...document.querySelectorAll('.plate-part input')].some(
      (field) => (field as HTMLInputElement).value === '33, 66',
    ),
  );
  await page.getByLabel('Named').selectOption('house');
  await page.getByRole('combobox', { name: /^Scale/ }).selectOption('1:1');
  await settled();

  // A scale that does not fit is told in one sentence, with one that does.
  await page.getByLabel('QT 41/1 Early preform').check();
  await page
    .locator('.plate-pieces label', { hasText: 'QT 41/1 Early preform' })
    .filter({ hasNotText: 'not measured yet' })
    .waitFor();
  await page.getByLabel('Paper').selectOption('A5');
  await page.getByRole('combobox', { name: /^Scale/ }).selectOption('2:1');
  await page.locator('.plate-fault').waitFor();
  await expect.poll(() => page.locator('.plate-fault').textContent()).toContain('choose');
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
  await visit.close();
  rmSync(folder, { recursive: true });
}, 150_000);

const MANY = 1000;

test(`of ${MANY} pieces to draw only the rows near what is seen are there; keys, words and ticks reach all of them`, async () => {
  const visit = await workbench.visit();
  const { page } = visit;
  await keepMany(page, MANY);
  await page.goto(`${workbench.origin}/?many#/bench/qt-41-18-small-point`);
  await untilMeasured(page);
  await page.getByRole('link', { name: 'Plate' }).click();
  const boxes = page.locator('[aria-label="Pieces to draw"] input');
  const focused = (): Promise<string> =>
    page.evaluate(() => (document.activeElement as HTMLInputElement).labels?.[0]?.textContent?.trim() ?? '');
  await page.locator('.plate-preview[aria-busy="false"] img').waitFor();
  await visit.shoot('plate-many');
  expect(await boxes.count()).toBeLessThan(120);

  // One stop of the tabulator: the piece that is drawn.
  await page.getByLabel('Find among the pieces').focus();
  await page.keyboard.press('Tab');
  expect(await focused()).toContain('QT 41/18');
  await page.keyboard.press('Home');
  expect(await focused()).toMatch(new RegExp(`^GEN ${MANY} `));
  for (let k = 0; k < 60; k++) await page.keyboard.press('ArrowDown');
  expect(await focused()).toMatch(new RegExp(`^GEN ${MANY - 60} `));
  expect(
    await page.evaluate(() => document.activeElement?.closest('li')?.getAttribute('aria-posinset')),
  ).toBe('61');
  // The row is seen in its box, which is not the window.
  expect(
    await page.evaluate(() => {
      const row = document.activeElement?.getBoundingClientRect();
      const box = document.querySelector('.plate-pieces')?.getBoundingClientRect();
      return row !== undefined && box !== undefined && row.top >= box.top && row.bottom <= box.bottom;
    }),
  ).toBe(true);
  await page.keyboard.press('End');
  await expect.poll(focused).toContain('QT 41/');
  await page.keyboard.press('Tab');
  expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('All');

  // By the wheel one sees other rows, each in its place.
  const box = page.locator('.plate-pieces').first();
  await box.evaluate((element) => element.scrollTo(0, element.scrollHeight / 2));
  const seen = (): Promise<string> =>
    box.evaluate((element) => {
      const { left, top, height } = element.getBoundingClientRect();
      return document.elementFromPoint(left + 40, top + height / 2)?.closest('li')?.textContent ?? '';
    });
  await expect.poll(seen).toMatch(/GEN (4[89]\d|5[0-4]\d) /);
  expect(await boxes.count()).toBeLessThan(120);

  // Words narrow the list; what was chosen before stays.
  await page.getByLabel('Find among the pieces').fill('qt 41');
  await expect.poll(() => boxes.count()).toBeLessThan(15);
  await page.getByRole('button', { name: 'None of these' }).click();
  await page.getByText(/0 of \d+ chosen/).waitFor();
  await page.getByLabel('Find among the pieces').fill('qt 41/18');
  await expect.poll(() => boxes.count()).toBe(1);
  await boxes.first().focus();
  await page.keyboard.press('Space');
  await page.locator('.plate-preview[aria-busy="false"] img[alt]').waitFor();
  await page.getByText(/1 found, 1 of \d+ chosen/).waitFor();
  expect(visit.complaints).toEqual([]);
  await visit.close();
}, 60_000);
