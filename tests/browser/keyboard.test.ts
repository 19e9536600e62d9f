import { writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;
let page: Page;
const scan = join(tmpdir(), `knapgauge-keyboard-${process.pid}.ply`);

beforeAll(async () => {
  writeFileSync(scan, toPly(humpedPiece(8_000)));
  workbench = await openWorkbench();
  visit = await workbench.visit();
  page = visit.page;
  // The browser is told early that choosers are answered here: under load the first one would open before it knows.
  page.on('filechooser', (chooser) => void chooser.setFiles(scan));
  await page.waitForSelector('h1');
});
afterAll(() => workbench.close());

/** What has the focus, as a screen reader would name it: its label, else its text. */
function focused(): Promise<string> {
  return page.evaluate(() => {
    const at = document.activeElement;
    const label = at?.getAttribute('aria-label') ?? (at as HTMLInputElement | null)?.labels?.[0]?.textContent;
    return (label ?? at?.textContent ?? '').trim();
  });
}

/** Presses Tab (or Shift+Tab) until something of that name has the focus; every stop must be seen to have it. */
async function tabTo(name: RegExp, key = 'Tab', most = 400): Promise<void> {
  for (let k = 0; k < most; k++) {
    if (name.test(await focused())) return;
    await page.keyboard.press(key);
  }
  throw new Error(`${name} is not reached by ${key}`);
}

async function press(...keys: string[]): Promise<void> {
  for (const key of keys) await page.keyboard.press(key);
}

test('the whole job is done with the keyboard alone', async () => {
  // A scan is opened with the file button.
  await tabTo(/^Open files…$/);
  await press('Enter');
  await untilMeasured(page);

  // The guess of the unit is confirmed, the ends swapped and swapped back by Undo.
  await tabTo(/^Confirm guess$/);
  await press('Enter');
  await untilMeasured(page);
  await page.waitForFunction(() => !document.querySelector('.unit-choice button'));
  await tabTo(/^Swap ends$/, 'Tab');
  await press('Enter');
  await page.waitForSelector('.bench[data-phase="ready"] button[aria-pressed="true"]:text-is("Swap ends")');
  await tabTo(/^Undo$/);
  await press('Enter');
  await page.waitForSelector('.bench[data-phase="ready"] button[aria-pressed="false"]:text-is("Swap ends")');
  // Another unit, by its first letter: the choice stands at once, so that the next key starts from it.
  await tabTo(/^File in/, 'Shift+Tab');
  await press('c');
  const unit = page.locator('.unit-choice select');
  await expect.poll(() => unit.inputValue()).toBe('cm');
  await tabTo(/^Undo$/);
  await press('Enter');
  await expect.poll(() => unit.inputValue()).toBe('mm');
  await untilMeasured(page);
  // The button that was pressed may have gone out: the focus must not be lost for the next key.
  await tabTo(/Arrow keys turn it/);
  await press('ArrowLeft', '+');

  // A station is pointed at; its section follows.
  await tabTo(/^Station along the length$/);
  await press('Home', 'PageUp', 'PageUp', 'ArrowUp');
  await expect.poll(() => page.locator('.section-words').textContent()).toMatch(/^Section at 21 /);

  // A measure is found, shown and explained.
  await tabTo(/^Find a measure$/);
  await page.keyboard.type('thickness between');
  await tabTo(/^Show Thickness between jaws/);
  await press('Enter');
  await page.locator('.sheet .shown-dimension').first().waitFor();
  await tabTo(/^Thickness between jaws$/);
  await press('Enter');
  await page.locator('.row-detail').waitFor();
  await press('Escape');
  await expect.poll(() => page.locator('.shown').count()).toBe(0);

  // The tip is placed: the cross moved and set.
  await tabTo(/^Place the tip$/);
  await press('Enter');
  expect(await focused()).toMatch(/^Place of the tip/);
  await press('Shift+ArrowDown', 'ArrowRight', 'ArrowRight', 'Enter');
  await page.waitForSelector('.bench[data-phase="working"]', { timeout: 2000 }).catch(() => undefined);
  await untilMeasured(page);
  await expect.poll(() => page.getByLabel('Length axis').inputValue()).toBe('tip-base');

  // A description is written; it is kept.
  await tabTo(/^Notes/);
  await page.keyboard.type('by keys alone');
  await press('Tab');
  await page.waitForSelector('.keep-state[data-state="kept"]');

  // Back to the drawer, and the piece is found by its notes.
  await tabTo(/^Drawer$/, 'Shift+Tab');
  await press('Enter');
  await tabTo(/^Find a piece$/);
  await page.keyboard.type('keys alone');
  await expect.poll(() => page.locator('.card').count()).toBe(1);
  await tabTo(/knapgauge-keyboard/);
  await press('Enter');
  await untilMeasured(page);
  expect(visit.complaints).toEqual([]);
}, 120_000);

test('every stop of the tabulator shows that it has the focus', async () => {
  for (const hash of ['#/drawer', '#/bench/qt-41-18-small-point']) {
    await page.goto(`${workbench.origin}/${hash}`);
    await page.waitForSelector('h1');
    if (hash.includes('bench')) await untilMeasured(page);
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    const unseen: string[] = [];
    for (let k = 0; k < 45; k++) {
      await page.keyboard.press('Tab');
      const stop = await page.evaluate(() => {
        const at = document.activeElement;
        if (at === null || at === document.body) return null;
        const { outlineStyle, outlineWidth, borderColor } = getComputedStyle(at);
        const box = at.getBoundingClientRect();
        const framed = outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2;
        const inView = box.bottom > 0 && box.top < innerHeight && box.width > 0;
        return { ok: framed && inView, name: `${at.outerHTML.slice(0, 120)} ${outlineStyle} ${borderColor}` };
      });
      if (stop !== null && !stop.ok) unseen.push(stop.name);
    }
    expect(unseen, hash).toEqual([]);
  }
}, 60_000);
