import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { keepMany } from './manyPieces.ts';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;
const scan = toPly(humpedPiece(8_000));
const point = readFileSync(join(ROOT, 'sample-scans/qt-41-18-small-point.stl'));

beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
});
afterAll(() => workbench.close());

beforeEach(async () => {
  visit = await workbench.visit();
});
afterEach(async () => {
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
});

const file = (name: string, buffer: Buffer) => ({ name, mimeType: '', buffer });
const own = 'section[aria-labelledby="own-pieces"]';

describe('many files at once', () => {
  test('are measured one after another; what fails is a sentence and not the end', async () => {
    const { page } = visit;
    await page.setInputFiles('input[aria-label="Scan files"]', [
      file('one.ply', scan),
      file('broken.ply', Buffer.from('ply\nformat ascii 1.0\nnothing more')),
      file('two.stl', point),
      file('three.ply', scan),
    ]);
    await page.waitForSelector('.queue');
    // The last one is left out before its turn comes.
    await page.getByRole('button', { name: 'Cancel three.ply' }).click();
    await page.getByRole('heading', { name: '2 of 3 measured' }).waitFor({ timeout: 60_000 });
    await visit.shoot('queue');
    await expect
      .poll(() => page.locator('.queue-line[data-state="failed"] .queue-what').textContent())
      .toMatch(/\.$/);
    await expect.poll(() => page.locator(`${own} h3`).allTextContents()).toEqual(['two', 'one']);
    await expect.poll(() => page.locator(`${own} .card-numbers`).count()).toBe(2);
    await expect.poll(() => page.locator(`${own} .card-warning`).first().textContent()).toContain('unit');

    await page.getByRole('button', { name: 'Dismiss broken.ply' }).click();
    await page.getByRole('button', { name: 'Try three.ply again' }).click();
    await page.getByRole('heading', { name: '3 of 3 measured' }).waitFor({ timeout: 60_000 });
    await page.getByRole('button', { name: 'Clear what is done' }).click();
    await expect.poll(() => page.locator('.queue').count()).toBe(0);
    await expect.poll(() => page.locator(`${own} h3`).allTextContents()).toEqual(['three', 'two', 'one']);
    await page.waitForSelector('.keep-state[data-state="kept"]');
    await page.reload();
    await page.waitForSelector(`${own} h3`);
    await expect.poll(() => page.locator(`${own} h3`).allTextContents()).toEqual(['three', 'two', 'one']);
  });

  test('go on while one of them lies on the bench', async () => {
    const { page } = visit;
    const names = ['one.ply', 'two.ply', 'three.ply'];
    await page.setInputFiles(
      'input[aria-label="Scan files"]',
      names.map((name) => file(name, scan)),
    );
    await page.locator(`${own} .card a`).first().click({ timeout: 60_000 });
    await untilMeasured(page);
    await page.waitForFunction(() => document.querySelector('.queue-state-link') === null, null, {
      timeout: 60_000,
    });
    await page.getByRole('link', { name: 'Drawer' }).click();
    await page.getByRole('heading', { name: '3 of 3 measured' }).waitFor();
  });
});

test('the drawer is searched, filtered and put in order, and comes back so from the bench', async () => {
  const { page } = visit;
  const shown = (): Promise<string[]> => page.locator('.card-number').allTextContents();
  const all = await shown();
  await page.getByLabel('Raw material').selectOption('grey banded chert');
  await expect.poll(shown).toEqual(['QT 41/1', 'QT 41/2', 'QT 41/3', 'QT 41/4']);
  await page.getByLabel('Order by').selectOption('number');
  await expect.poll(shown).toEqual(['QT 41/4', 'QT 41/3', 'QT 41/2', 'QT 41/1']);
  await page.getByRole('button', { name: /^Order: Z to A/ }).click();
  await expect.poll(shown).toEqual(['QT 41/1', 'QT 41/2', 'QT 41/3', 'QT 41/4']);
  await page.getByRole('searchbox', { name: 'Find a piece' }).fill('notched');
  await expect.poll(shown).toEqual(['QT 41/4']);
  await expect.poll(() => page.locator('.find-count').textContent()).toBe(`1 of ${all.length} pieces`);

  await page.locator('.card a').click();
  await page.waitForSelector('.bench');
  await page.goBack();
  await page.waitForSelector('.drawer');
  expect(await shown()).toEqual(['QT 41/4']);

  await page.getByRole('searchbox', { name: 'Find a piece' }).fill('no such piece');
  await page.getByText('No piece in this drawer fits').waitFor();
  await visit.shoot('drawer-nothing');
  await page.getByRole('button', { name: /^Show all \d/ }).click();
  await expect.poll(shown).toHaveLength(all.length);
});

/** What has the focus: its label or its text. */
const focusedName = (page: Page): Promise<string> =>
  page.evaluate(() => {
    const at = document.activeElement;
    return (at?.getAttribute('aria-label') ?? at?.textContent ?? '').trim();
  });

test('what is taken away hands the focus on: to the next card, to what was put back, to the search', async () => {
  const { page } = visit;
  const card = (k: number) => page.locator('.card').nth(k);
  const third = await card(2).locator('.card-number').textContent();
  await card(1).getByRole('button').focus();
  const second = await card(1).locator('.card-number').textContent();
  await page.keyboard.press('Enter');
  await expect.poll(() => focusedName(page)).toContain(third ?? 'none');
  expect(await page.evaluate(() => document.activeElement?.tagName)).toBe('A');
  // It is said, in a region that was there before.
  expect(await page.locator('.drawer > [role="status"]').textContent()).toContain(
    `${second} was taken out of the drawer.`,
  );
  await page.getByRole('button', { name: 'Put back' }).focus();
  await page.keyboard.press('Enter');
  await expect.poll(() => focusedName(page)).toContain(second ?? 'none');
  expect(
    await card(1)
      .locator('a')
      .evaluate((link) => link === document.activeElement),
  ).toBe(true);
  // The last one of the drawer leaves it to the one before.
  const cards = await page.locator('.card').count();
  await card(cards - 1)
    .getByRole('button')
    .focus();
  await page.keyboard.press('Enter');
  await expect.poll(() => page.locator('.card').count()).toBe(cards - 1);
  expect(
    await page.evaluate(
      () => document.activeElement?.closest('.card') === [...document.querySelectorAll('.card')].at(-1),
    ),
  ).toBe(true);

  // On the bench it is at the head of the place; coming back, at the card that was left.
  await card(3).locator('a').focus();
  const left = await focusedName(page);
  await page.keyboard.press('Enter');
  await page.waitForSelector('.bench');
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe('place');
  await page.goBack();
  await page.waitForSelector('.drawer');
  await expect.poll(() => focusedName(page)).toBe(left);

  await page.getByRole('searchbox', { name: 'Find a piece' }).fill('notched');
  await page.getByRole('button', { name: 'Show all', exact: true }).focus();
  await page.keyboard.press('Enter');
  await expect.poll(() => focusedName(page)).toBe('Find a piece');
});

test('what a piece is called shows and is kept as it is written, without leaving the field', async () => {
  const { page } = visit;
  await page.goto(`${workbench.origin}/#/bench/qt-41-18-small-point`);
  await untilMeasured(page);
  const heading = page.locator('.heading h1');
  await page.getByLabel('Catalogue number').fill('N 石/1');
  await expect.poll(() => heading.textContent()).toBe('N 石/1 Small notched point');
  const title = page.getByLabel('Title');
  await title.fill('');
  // A pause within the words costs no space.
  await title.pressSequentially('Point ');
  await expect.poll(() => heading.textContent()).toBe('N 石/1 Point');
  await title.pressSequentially('found again');
  await expect.poll(() => heading.textContent()).toBe('N 石/1 Point found again');
  expect(await title.inputValue()).toBe('Point found again');
  expect(await page.title()).toBe('Point found again · Knapgauge');
  await page.waitForSelector('.keep-state[data-state="kept"]');
  await page.reload();
  await expect.poll(() => heading.textContent()).toBe('N 石/1 Point found again');
});

test('a folder is taken with what is in it; what is no scan and no photograph is told', async () => {
  const { page } = visit;
  const folder = mkdtempSync(join(tmpdir(), 'knapgauge-folder-'));
  mkdirSync(join(folder, 'inner'));
  writeFileSync(join(folder, 'one.ply'), scan);
  writeFileSync(join(folder, 'inner', 'two.PLY'), scan);
  writeFileSync(join(folder, 'inner', 'letter.doc'), 'Dear colleague');
  writeFileSync(join(folder, '.hidden'), '');
  const session = await page.context().newCDPSession(page);
  const data = { items: [], files: [folder], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const) {
    await session.send('Input.dispatchDragEvent', { type, x: 400, y: 400, data });
  }
  await page.getByRole('heading', { name: '2 of 2 measured' }).waitFor({ timeout: 60_000 });
  expect(await page.locator(`${own} h3`).allTextContents()).toEqual(['one', 'two']);
  expect(await page.locator('.queue-what').allTextContents()).toEqual([
    'One file of this folder is neither scan nor photograph, and was left out.',
  ]);
  // Keys in the queue: the line that goes hands the focus on.
  await page.getByRole('button', { name: /^Dismiss/ }).focus();
  await page.keyboard.press('Enter');
  await page.locator('.queue-line').waitFor({ state: 'detached' });
  expect(await page.evaluate(() => document.activeElement !== document.body)).toBe(true);
  rmSync(folder, { recursive: true });
});

const MANY = 1000;

test(`of ${MANY} pieces only the cards near what is seen are there, and all are reached`, async () => {
  const { page } = visit;
  await keepMany(page, MANY);
  // Another address, so that the page is loaded afresh.
  await page.goto(`${workbench.origin}/?many#/bench/none`);
  await page.locator('main h1, main h2').first().waitFor();
  // The thread's own time: what other processes take of the processor does not count.
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  const scriptMs = async (): Promise<number> => {
    const { metrics } = await session.send('Performance.getMetrics');
    return 1000 * (metrics.find(({ name }) => name === 'ScriptDuration')?.value ?? 0);
  };
  const goTo = (hash: string): Promise<void> =>
    page.evaluate((to) => {
      location.hash = to;
    }, hash);
  const cards = page.locator('.card');
  const ownCards = page.locator(`${own} .card`);
  const focused = (): Promise<string> =>
    page.evaluate(
      () => document.activeElement?.closest('.card')?.querySelector('.card-number')?.textContent ?? '',
    );

  // Opening the drawer and leaving it costs little, once all numbers are there: those of the last card come last.
  await goTo('#/drawer');
  await ownCards.last().locator('.card-size').waitFor({ timeout: 30_000 });
  await goTo('#/bench/none');
  await page.locator('.drawer').waitFor({ state: 'detached' });
  const before = await scriptMs();
  await goTo('#/drawer');
  await ownCards.first().waitFor();
  await page.waitForTimeout(300);
  const opening = (await scriptMs()) - before;
  await goTo('#/bench/none');
  await page.locator('.drawer').waitFor({ state: 'detached' });
  const leaving = (await scriptMs()) - before - opening;
  expect(Math.max(opening, leaving)).toBeLessThan(100);
  console.log(`${MANY} pieces: script ms to open ${opening.toFixed(0)}, to leave ${leaving.toFixed(0)}`);
  await goTo('#/drawer');
  await ownCards.first().waitFor();
  await visit.shoot('drawer-many');
  await expect.poll(() => cards.count()).toBeLessThan(100);
  await expect.poll(() => ownCards.first().getAttribute('aria-setsize')).toBe(String(MANY));

  // Card after card by the tabulator, each with two stops, farther than what is there at first.
  await ownCards.first().locator('a').focus();
  for (let k = 0; k < 40; k++) {
    expect(await focused()).toBe(`GEN ${MANY - k}`);
    await page.keyboard.press('Tab');
    await page.keyboard.press('Tab');
  }
  // What has the focus keeps it while one looks elsewhere, and goes on from there.
  await page.evaluate(() => window.scrollTo(0, 80_000));
  await expect
    .poll(() =>
      page.evaluate(() => {
        const seen = document.elementFromPoint(innerWidth / 3, innerHeight / 2);
        return seen?.closest('.card') !== null;
      }),
    )
    .toBe(true);
  expect(await focused()).toBe(`GEN ${MANY - 40}`);
  await page.keyboard.press('Shift+Tab');
  expect(await focused()).toBe(`GEN ${MANY - 39}`);
  // From behind one comes to the last card.
  await page.locator('section[aria-labelledby="demo-pieces"] .card a').first().focus();
  await page.keyboard.press('Shift+Tab');
  expect(await focused()).toBe('GEN 1');
  await expect.poll(() => ownCards.last().getAttribute('aria-posinset')).toBe(String(MANY));

  // The search stays in sight, as the browser's own does not see far.
  await page.evaluate(() => window.scrollTo(0, 30_000));
  const search = page.getByRole('searchbox', { name: 'Find a piece' });
  await expect.poll(async () => (await search.boundingBox())?.y ?? -1).toBeGreaterThanOrEqual(0);
  expect((await search.boundingBox())?.y).toBeLessThan(100);

  // Elsewhere and back: the same cards in the same place.
  await page.evaluate(() => window.scrollTo(0, 50_000));
  const seen = (): Promise<string> =>
    page.evaluate(() => {
      const card = document.elementFromPoint(innerWidth / 3, innerHeight / 2)?.closest('.card');
      const top = card?.getBoundingClientRect().top ?? Number.NaN;
      return `${card?.querySelector('.card-number')?.textContent} ${top.toFixed(0)}`;
    });
  await expect.poll(seen).toMatch(/^GEN/);
  await page.waitForTimeout(300);
  const there = await seen();
  await goTo('#/bench/none');
  await page.locator('.drawer').waitFor({ state: 'detached' });
  await page.goBack();
  await expect.poll(seen).toBe(there);
  await expect.poll(() => cards.count()).toBeLessThan(120);

  // On paper all are there.
  await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
  await expect.poll(() => ownCards.count()).toBe(MANY);
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  await expect.poll(() => cards.count()).toBeLessThan(120);
}, 60_000);
