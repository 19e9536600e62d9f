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
    await page.waitForSelector('main h1');
    await check(place.replace('/', '-'));
  }
  // Letters as pale as their ground would be found, though only under the pointer.
  await page.addStyleTag({ content: 'nav a:hover { color: var(--rule) !important; }' });
  expect(await faintUnderPointer(page)).not.toEqual([]);
  await visit.close();
  expect(visit.complaints).toEqual([]);
});
