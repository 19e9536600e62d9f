import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { breaches } from './axe.ts';
import { faintUnderPointer } from './contrast.ts';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

let workbench: Workbench;
const scan = toPly(humpedPiece(20_000));

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

/** Themes differ in colours and nothing else: each size need not be seen in both. */
const SCREENS = [
  { width: 1440, height: 900, colorScheme: 'light' },
  { width: 1024, height: 768, colorScheme: 'dark' },
] as const;

test.each(SCREENS)('every place at $width × $height, $colorScheme', async ({ colorScheme, ...viewport }) => {
  const visit = await workbench.visit({ colorScheme, viewport, bypassCSP: true });
  const { page } = visit;
  const name = (place: string): string => `${place}-${viewport.width}-${colorScheme}`;
  const check = async (place: string): Promise<void> => {
    await visit.shoot(name(place));
    expect(await breaches(page), place).toEqual([]);
    expect(await faintUnderPointer(page), place).toEqual([]);
    // Nothing sticks out sideways.
    const overhang = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overhang, place).toBe(0);
  };
  await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
  await check('drawer');
  await page.setInputFiles('input[type=file]', { name: 'invented.ply', mimeType: '', buffer: scan });
  await untilMeasured(page);
  await page.locator('[data-measure="edge.angle.mean"] .row-name').click();
  // A row half under the ledger's head is one that was scrolled there: nothing is, at the top.
  await page.locator('.ledger').evaluate((ledger) => ledger.scrollTo(0, 0));
  await check('bench');
  // What is reached by keys is not hidden beneath the head that stays.
  await page.locator('.ledger').evaluate((ledger) => ledger.scrollTo(0, ledger.scrollHeight));
  await page.locator('[data-measure="width.at.50"] .row-name').focus();
  const clear = await page.evaluate(() => {
    const bottom = document.querySelector('.ledger-head')?.getBoundingClientRect().bottom ?? Infinity;
    return (document.activeElement?.getBoundingClientRect().top ?? 0) - bottom;
  });
  expect(clear, 'px below the head').toBeGreaterThanOrEqual(0);
  await page.locator('.ledger').evaluate((ledger) => ledger.scrollTo(0, 0));
  await page.getByRole('button', { name: 'Hand check' }).click();
  await page.waitForSelector('.desk svg');
  await check('hand-check');
  await page.getByRole('button', { name: 'Show what was computed' }).click();
  await check('hand-check-answers');
  await page.getByRole('button', { name: 'Leave the hand check' }).click();
  await page.setInputFiles('input[type=file]', {
    name: 'empty.ply',
    mimeType: '',
    buffer: Buffer.alloc(0),
  });
  await page.waitForSelector('[role="alert"]');
  await check('fault');
  for (const place of ['plate', 'lineup/table', 'lineup/scatter', 'lineup/continuum']) {
    await page.goto(`${workbench.origin}/#/${place}`);
    // Until it is drawn the place before stands there.
    const [, view] = place.split('/');
    await page.waitForSelector(view === undefined ? '.plate-preview' : `.lineup-view[data-view="${view}"]`);
    await check(place.replace('/', '-'));
  }
  // Letters as pale as their ground would be found, though only under the pointer.
  await page.addStyleTag({ content: 'nav a:hover { color: var(--rule) !important; }' });
  expect(await faintUnderPointer(page)).not.toEqual([]);
  await visit.close();
  expect(visit.complaints).toEqual([]);
});

test('where the system sets the colours, what is pressed and which place one is in still show', async () => {
  const visit = await workbench.visit({ forcedColors: 'active' });
  const { page } = visit;
  const grounds = (locator: string): Promise<string[]> =>
    page
      .locator(locator)
      .evaluateAll((all) => [...new Set(all.map((one) => getComputedStyle(one).backgroundColor))]);
  await page.goto(`${workbench.origin}/#/bench/qt-41-18-small-point`);
  await untilMeasured(page);
  await visit.shoot('bench-forced-colours');
  for (const [marked, others] of [
    ['.stage button[aria-pressed="true"]', '.stage button[aria-pressed="false"]'],
    ['.top-bar nav a[aria-current]', '.top-bar nav a:not([aria-current])'],
  ]) {
    const [marks, rest] = [await grounds(marked), await grounds(others)];
    expect(marks).toHaveLength(1);
    expect(rest).not.toContain(marks[0]);
  }
  await visit.close();
});

test('at twice the size, as the browser zooms, nothing sticks out sideways and all views have their room', async () => {
  // 1440 × 900 at 200 %.
  const visit = await workbench.visit({ viewport: { width: 720, height: 450 }, deviceScaleFactor: 2 });
  const { page } = visit;
  const places = ['drawer', 'bench/qt-41-18-small-point', 'bench/qt-41-4-photo', 'plate', 'lineup/scatter'];
  for (const place of places) {
    await page.goto(`${workbench.origin}/#/${place}`);
    if (place.startsWith('bench')) await untilMeasured(page);
    else await page.locator('main h1').waitFor();
    await visit.shoot(`twice-${place.replaceAll('/', '-')}`);
    const overhang = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overhang, place).toBe(0);
    const panels = await page
      .locator('.panel')
      .evaluateAll((all) => all.map((panel) => panel.getBoundingClientRect().height));
    // A view of less is nothing to work with.
    for (const height of panels) expect(height, place).toBeGreaterThan(100);
  }
  // The page itself scrolls here: a piece begins at its top, and the drawer is found as it was left.
  await page.goto(`${workbench.origin}/#/drawer`);
  const card = page.locator('.card a', { hasText: 'Small notched point' });
  await card.scrollIntoViewIfNeeded();
  const scrolled = await page.evaluate(() => window.scrollY);
  expect(scrolled).toBeGreaterThan(300);
  await card.click();
  await untilMeasured(page);
  expect(await page.evaluate(() => window.scrollY)).toBe(0);
  await page.getByRole('link', { name: 'Drawer' }).click();
  await expect.poll(() => page.evaluate(() => window.scrollY)).toBe(scrolled);
  await visit.close();
});
