import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DATABASE } from '../../src/app/keep/database.ts';
import { findChromium, ROOT } from '../../src/cli/ensure.mjs';
import { bringMeasuredDemo } from './measuredDemo.ts';
import { humpedPiece, toPly } from './scans.ts';
import { ARGUMENTS, NO_GRAPHICS, OUTPUT, openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

const SCAN = join(ROOT, 'sample-scans/qt-41-18-small-point.stl');
/** `npm run kills` asks for fifty. */
const KILLS = Number(process.env.KILLS ?? 3);

let workbench: Workbench;
let profile: string;

beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
  profile = mkdtempSync(join(tmpdir(), 'knapgauge-profile-'));
  const context = await comeBack();
  await bringMeasuredDemo(context.pages()[0], workbench.origin);
  await context.close();
});

afterAll(async () => {
  await workbench.close();
  rmSync(profile, { recursive: true, force: true });
});

/** The same profile on the same disk, as a person comes back to it. */
function comeBack(): Promise<BrowserContext> {
  return chromium.launchPersistentContext(profile, {
    executablePath: findChromium() as string,
    headless: true,
    args: [...ARGUMENTS, NO_GRAPHICS],
    viewport: { width: 1440, height: 900 },
    serviceWorkers: 'block',
  });
}

async function openPage(context: BrowserContext, hash: string): Promise<Page> {
  const page = context.pages()[0] ?? (await context.newPage());
  await page.goto(`${workbench.origin}/${hash}`);
  return page;
}

/** Ends the browser of our own profile as a power cut would. */
function cutPower(): void {
  const running = readdirSync('/proc').filter((id) => /^\d+$/.test(id) && commandOf(id).includes(profile));
  for (const id of running) {
    try {
      process.kill(Number(id), 'SIGKILL');
    } catch {
      // It went with its parent.
    }
  }
  expect(running.length).toBeGreaterThan(0);
}

function commandOf(process: string): string {
  try {
    return readFileSync(`/proc/${process}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}

/** What was counted up to; 0 for other words. */
const count = (note: string): number => Number(note) || 0;

const kept = (page: Page): Promise<unknown> => page.waitForSelector('.keep-state[data-state="kept"]');

/** From now on nothing measures in this page: what it shows of numbers was kept. */
const withoutEngine = (page: Page): Promise<unknown> =>
  page.addInitScript(() => {
    const Real = window.Worker;
    window.Worker = class extends Real {
      override postMessage(): void {
        // Nobody hears it.
      }
    };
  });

/** How many drawings are kept of what was measured with such a setting. */
const drawingsOf = (page: Page, setting: string): Promise<number> =>
  page.evaluate(async (words) => {
    const opening = indexedDB.open('knapgauge-measured');
    const there = await new Promise<IDBDatabase>((resolve) => {
      opening.onsuccess = () => resolve(opening.result);
    });
    const all = there.transaction('drawings').objectStore('drawings').getAll();
    const rows = await new Promise<{ name: string }[]>((resolve) => {
      all.onsuccess = () => resolve(all.result);
    });
    there.close();
    return rows.filter(({ name }) => name.includes(words)).length;
  }, setting);

/** Changes what is kept in one store of one of the page's databases, as damage or another program would. */
async function tamper(page: Page, database: string, store: string, how: string): Promise<void> {
  await page.evaluate(
    async ([name, inside, change]) => {
      const opening = indexedDB.open(name);
      const there = await new Promise<IDBDatabase>((resolve) => {
        opening.onsuccess = () => resolve(opening.result);
      });
      const transaction = there.transaction(inside, 'readwrite');
      const cursor = transaction.objectStore(inside).openCursor();
      cursor.onsuccess = () => {
        const { result } = cursor;
        if (result === null) return;
        if (change === 'gone') result.delete();
        else if (change === 'scan')
          result.update(new Blob([result.value.slice(0, -2), new Uint8Array(2).fill(1)]));
        // A person's own pieces are known by a random name; all of the demo drawer need not be measured anew.
        else if (/^[0-9a-f-]{36}$/.test(result.value.id))
          result.update({ ...result.value, engine: 'an older one' });
        result.continue();
      };
      await new Promise((resolve) => {
        transaction.oncomplete = resolve;
      });
      there.close();
    },
    [database, store, how] as const,
  );
}

describe('the drawer is kept on this computer', () => {
  test('scan, settings, their history and the numbers survive a restart; other numbers are measured anew', async () => {
    let context = await comeBack();
    let page = await openPage(context, '');
    await page.setInputFiles('input[type=file]', SCAN);
    await untilMeasured(page);
    await page.getByRole('button', { name: 'Swap ends' }).click();
    await untilMeasured(page);
    await kept(page);
    const address = new URL(page.url()).hash;
    const numbers = await page.locator('.main-numbers').textContent();
    await expect.poll(() => drawingsOf(page, '"flipTip":true')).toBe(1);
    await context.close();

    context = await comeBack();
    page = context.pages()[0];
    await withoutEngine(page);
    await openPage(context, address);
    await page.locator('.main-numbers dd').first().waitFor();
    await expect.poll(() => page.locator('.main-numbers').textContent()).toBe(numbers);
    await expect
      .poll(() => page.getByRole('button', { name: 'Swap ends' }).getAttribute('aria-pressed'))
      .toBe('true');
    await expect.poll(() => page.getByRole('button', { name: 'Undo', exact: true }).isEnabled()).toBe(true);
    // What is drawn was kept as well: nothing is left to be measured.
    await page
      .locator('.bench[data-phase="ready"] .stage', { hasText: 'draws no three-dimensional graphics' })
      .waitFor();
    await page.getByRole('slider', { name: 'Station along the length' }).focus();
    await page.keyboard.press('Home');
    await page.keyboard.press('PageUp');
    await page.keyboard.press('ArrowUp');
    await expect.poll(() => page.locator('.section-words').textContent()).toMatch(/^Section at 11 \d/);
    await page.screenshot({ path: join(OUTPUT, 'bench-kept.png') });
    await page.getByRole('link', { name: 'Drawer' }).click();
    const card = page.locator('.card').first();
    await card.locator('.card-size').waitFor();
    await expect.poll(() => card.locator('img').count()).toBe(1);
    await expect.poll(() => card.locator('.card-anew').count()).toBe(0);
    const bytes = await page.evaluate(async () => {
      const request = indexedDB.open('knapgauge');
      const database = await new Promise<IDBDatabase>((resolve) => {
        request.onsuccess = () => resolve(request.result);
      });
      const all = database.transaction('scans').objectStore('scans').getAll();
      const [scan] = await new Promise<Blob[]>((resolve) => {
        all.onsuccess = () => resolve(all.result);
      });
      return [...new Uint8Array(await scan.arrayBuffer())];
    });
    expect(Buffer.from(bytes).equals(readFileSync(SCAN))).toBe(true);
    await context.close();

    // Numbers of another program, and then of another scan, are not shown: they are measured anew, and the card says so.
    context = await comeBack();
    page = await openPage(context, '#/licences');
    await tamper(page, 'knapgauge-measured', 'measured', 'engine');
    await page.reload();
    const first = page.locator('.card').first();
    await first.getByText('To be measured anew: the program has changed since.').waitFor();
    await first.getByText('Measured anew: the program has changed since.', { exact: true }).waitFor();
    await kept(page);
    await tamper(page, 'knapgauge', 'scans', 'scan');
    await page.reload();
    const otherScan = 'Measured anew: its scan is not the one that was measured before.';
    await first.getByText(otherScan, { exact: true }).waitFor();
    await page.screenshot({ path: join(OUTPUT, 'card-anew.png') });
    await kept(page);

    // Where the scan itself is gone they are all there is: they are shown, and whose they are is said.
    await tamper(page, 'knapgauge-measured', 'measured', 'engine');
    await tamper(page, 'knapgauge', 'scans', 'gone');
    await page.reload();
    await first
      .getByText(/^Measured by an earlier version of the program \(.+\): without its file/)
      .waitFor();
    await first.locator('.card-size').waitFor();
    await page.screenshot({ path: join(OUTPUT, 'card-older.png') });
    await first.locator('a').click();
    await page
      .getByRole('alert')
      .getByText(/could not be opened.*earlier version of the program/)
      .waitFor();
    await expect.poll(() => page.locator('.main-numbers dd').count()).toBeGreaterThan(3);
    await page.screenshot({ path: join(OUTPUT, 'bench-older.png') });
    await context.close();
  }, 240_000);

  test(
    `nothing acknowledged is lost when the browser is killed in the middle of saving, ${KILLS} times`,
    async () => {
      let acknowledged = 0;
      let note = '';
      for (let kill = 0; kill <= KILLS; kill++) {
        const context = await comeBack();
        const page = await openPage(context, '#/drawer');
        // The first card is of a piece whose file the test before took away.
        await page.locator('.card a', { hasText: 'QT 41/18' }).first().click();
        const notes = page.getByLabel('Notes');
        await notes.waitFor();
        note = await notes.inputValue();
        // Demo pieces come with words of their own. One more than was acknowledged may have reached the disk before the power went.
        expect(count(note)).toBeGreaterThanOrEqual(acknowledged);
        if (kill < KILLS) {
          const until = Date.now() + 300 + 170 * (kill % 6);
          // At least two are acknowledged before the power goes, however slow the machine is.
          const first = count(note) + 1;
          for (let value = first; Date.now() < until || value < first + 2; value++) {
            await notes.fill(String(value));
            await notes.blur();
            await kept(page);
            acknowledged = value;
          }
          await notes.fill(String(acknowledged + 1));
          await notes.blur();
          cutPower();
        }
        await context.close().catch(() => undefined);
      }
      expect(acknowledged).toBeGreaterThan(KILLS);
    },
    60_000 + 15_000 * KILLS,
  );

  test('two tabs do not overwrite one another; on a full disk numbers give way to what was written', async () => {
    const visit = await workbench.visit();
    const { page } = visit;
    await page.locator('.card a').first().click();
    await page.getByLabel('Notes').waitFor();
    const other = await page.context().newPage();
    await other.goto(page.url());
    await other.getByLabel('Notes').fill('seen in both');
    await other.getByLabel('Notes').blur();
    await page.waitForFunction(
      () => document.querySelector<HTMLTextAreaElement>('[name=notes]')?.value === 'seen in both',
    );
    await page.getByLabel('Raw material').fill('chert');
    await page.getByLabel('Raw material').blur();
    await kept(page);
    await other.reload();
    await other.getByLabel('Raw material').waitFor();
    await expect.poll(() => other.getByLabel('Raw material').inputValue()).toBe('chert');
    await expect.poll(() => other.getByLabel('Notes').inputValue()).toBe('seen in both');
    // What one tab puts into the drawer or takes out of it, the other has as well, with its numbers.
    await other.goto(`${workbench.origin}/#/drawer`);
    const cardOf = (tab: Page) => tab.locator('.card', { hasText: 'from-one-tab' });
    await page.goto(`${workbench.origin}/#/drawer`);
    const put = toPly(humpedPiece(6_000));
    await page.setInputFiles('input[aria-label="Scan files"]', [
      { name: 'from-one-tab.ply', mimeType: '', buffer: put },
      { name: 'broken.ply', mimeType: '', buffer: Buffer.from('ply') },
    ]);
    await cardOf(page).locator('.card-size').waitFor({ timeout: 60_000 });
    await cardOf(other).locator('.card-size').waitFor({ timeout: 60_000 });
    await expect.poll(() => other.locator('.card', { hasText: 'broken' }).count()).toBe(0);
    await cardOf(page).getByRole('button').click();
    await cardOf(other).waitFor({ state: 'detached' });
    // A tab that is opened now clears nothing away that can still be put back.
    await other.reload();
    await other.locator('.card').first().waitFor();
    const scansKept = await other.evaluate(
      (name) =>
        new Promise<number>((resolve) => {
          const asked = indexedDB.open(name);
          asked.onsuccess = () => {
            const count = asked.result.transaction('scans').objectStore('scans').count();
            count.onsuccess = () => {
              asked.result.close();
              resolve(count.result);
            };
          };
        }),
      DATABASE,
    );
    // That of the broken file as well: a tab that is alone clears it away.
    expect(scansKept).toBe(2);
    expect(await other.getByRole('button', { name: 'Put back' }).count()).toBe(0);
    await page.getByRole('button', { name: 'Put back' }).click();
    await cardOf(other).locator('a').click();
    await untilMeasured(other);
    await page.locator('.card a').first().click();
    await page.getByLabel('Notes').waitFor();
    await other.close();

    // The browser's space is full: kept numbers, which can be measured again, make room for what can't be had again.
    await untilMeasured(page);
    await kept(page);
    await page.evaluate(() => {
      const store = IDBObjectStore.prototype;
      const { put, clear } = store;
      let full = true;
      store.put = function (...given) {
        if (full) throw new DOMException('full', 'QuotaExceededError');
        return put.apply(this, given);
      };
      store.clear = function () {
        full = false;
        return clear.apply(this);
      };
    });
    await page.getByLabel('Notes').fill('on a full disk');
    await page.getByLabel('Notes').blur();
    await page.locator('.keep-state[data-state="kept"][data-numbers="not kept"]').waitFor();
    await page.locator('.keep-state summary').click();
    await expect.poll(() => page.locator('.keep-why').textContent()).toContain('will be measured again');
    await visit.shoot('full-but-kept');
    await page.reload();
    await page.getByLabel('Notes').waitFor();
    await expect.poll(() => page.getByLabel('Notes').inputValue()).toBe('on a full disk');
    await untilMeasured(page);
    expect(visit.complaints).toEqual([]);
    await visit.close();
  });

  test('a piece taken out can be put back, and one that was not is gone for good', async () => {
    const visit = await workbench.visit();
    const { page } = visit;
    await page.locator('.card').first().waitFor();
    const cards = await page.locator('.card').count();
    await page.locator('.card-out').first().click();
    await expect.poll(() => page.locator('.card').count()).toBe(cards - 1);
    await page.getByRole('button', { name: 'Put back' }).click();
    await expect.poll(() => page.locator('.card').count()).toBe(cards);
    await page.locator('.card-out').first().click();
    await kept(page);
    await page.reload();
    await page.locator('.card').first().waitFor();
    await expect.poll(() => page.locator('.card').count()).toBe(cards - 1);
    await visit.close();
  });

  test('the whole drawer goes out as one archive and comes back in, into another browser', async () => {
    const one = await workbench.visit();
    await one.page.goto(`${workbench.origin}/#/bench/qt-41-18-small-point`);
    await untilMeasured(one.page);
    await one.page.getByLabel('Find-spot (stays out of exports)').fill('secret place');
    await one.page.getByLabel('Notes').fill('=1+1 <script>');
    await one.page.getByLabel('Notes').blur();
    await kept(one.page);
    await one.page.getByRole('link', { name: 'Drawer' }).click();
    const [download] = await Promise.all([
      one.page.waitForEvent('download'),
      one.page.getByRole('button', { name: 'Export the drawer' }).click(),
    ]);
    const file = join(profile, 'drawer.zip');
    await download.saveAs(file);
    expect(one.complaints).toEqual([]);
    await one.close();

    const other = await workbench.visit();
    await other.page.locator('.card').first().waitFor();
    const cards = await other.page.locator('.card').count();
    await other.page.setInputFiles('input[aria-label="Drawer archive"]', file);
    // Demo pieces are there as well: one of them takes over what was written of it, the others stay as they are.
    await other.page.getByText(`${cards - 1} pieces were in the drawer already.`).waitFor();
    await other.page.getByText('One piece that was in the drawer took over what the archive').waitFor();
    await expect.poll(() => other.page.locator('.card').count()).toBe(cards);
    await other.page.locator('.card a', { hasText: 'QT 41/18' }).first().click();
    await other.page.getByLabel('Notes').waitFor();
    await expect.poll(() => other.page.getByLabel('Notes').inputValue()).toBe('=1+1 <script>');
    await expect.poll(() => other.page.getByLabel('Find-spot (stays out of exports)').inputValue()).toBe('');
    // Somebody says something else of it here: both are kept. And what was brought in once is not brought in again.
    await other.page.getByLabel('Notes').fill('mine');
    await other.page.getByLabel('Notes').blur();
    await other.page.getByRole('link', { name: 'Drawer' }).click();
    const drop = 'input[aria-label="Scan files"]';
    await other.page.setInputFiles(drop, file);
    await other.page.locator('.queue-what', { hasText: 'One piece is now there twice' }).waitFor();
    await expect.poll(() => other.page.locator('.card').count()).toBe(cards + 1);
    await other.page.setInputFiles(drop, file);
    await other.page.locator('.queue-what', { hasText: `${cards} pieces were in the drawer` }).waitFor();
    await expect.poll(() => other.page.locator('.card').count()).toBe(cards + 1);
    await other.page.setInputFiles('input[aria-label="Drawer archive"]', SCAN);
    await other.page.getByText('This is no archive that can be read').waitFor();
    expect(other.complaints).toEqual([]);
    await other.close();
  });
});
