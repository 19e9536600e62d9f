import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { readScan } from '../../src/intake/readScan.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { coloursIn } from './pictures.ts';
import { humpedPiece, subdivided, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;
let page: Page;
const scan = toPly(humpedPiece(30_000));

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

async function begin(): Promise<void> {
  visit = await workbench.visit();
  page = visit.page;
}
async function end(): Promise<void> {
  await visit.close();
  expect(visit.complaints).toEqual([]);
  expect(visit.foreign).toEqual([]);
}

/** Chooses a file as a person does with the file button. */
async function choose(name: string, buffer: Buffer): Promise<void> {
  await page.setInputFiles('input[type=file]', { name, mimeType: 'application/octet-stream', buffer });
}

/** Lets a file fall on the page. */
async function drop(name: string, text: string): Promise<void> {
  const carried = await page.evaluateHandle(
    ([fileName, content]) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([content], fileName));
      return transfer;
    },
    [name, text],
  );
  await page.dispatchEvent('h1', 'drop', { dataTransfer: carried });
}

/** The ledger's value of a measure, as it is spoken. */
function spoken(id: string): Promise<string | null> {
  return page.locator(`[data-measure="${id}"] td .unseen`).first().textContent();
}

const stationOf = (): Promise<string | null> =>
  page.getByRole('slider', { name: 'Station along the length' }).getAttribute('aria-valuenow');

// One after another on the same page, as a person would.
describe('a scan on the bench', () => {
  beforeAll(async () => {
    await begin();
    await choose('invented.ply', scan);
  });
  beforeEach(() => untilMeasured(page));
  afterAll(end);

  test('its surface is saved as PLY and GLB, turned into the specimen frame', async () => {
    for (const [kind, perMm] of [
      ['PLY', 1],
      ['GLB', 0.001],
    ] as const) {
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: `Save ${kind}` }).click(),
      ]);
      expect(download.suggestedFilename()).toBe(`invented.oriented.${kind.toLowerCase()}`);
      const read = readScan(readFileSync(await download.path()), {
        ...DEFAULT_SETTINGS.scan,
        unit: perMm === 1 ? 'mm' : 'm',
      });
      const ys = read.mesh.positions.filter((_, i) => i % 3 === 1);
      const extent = ys.reduce((most, y) => Math.max(most, y)) - ys.reduce((least, y) => Math.min(least, y));
      const length = Number.parseFloat((await spoken('length')) ?? '');
      expect(Math.abs(extent - length)).toBeLessThan(0.1);
    }
  });

  test('is measured, drawn in three dimensions and listed measure by measure', async () => {
    await expect.poll(() => page.locator('h1').textContent()).toBe('invented');
    expect(await spoken('edge.angle.mean')).toMatch(/^\d\d\.\d+ plus or minus 0\.\d+ degrees$/);
    await expect.poll(() => page.locator('.warnings li').count()).toBeGreaterThan(0);
    const picture = await page.locator('.stage-canvas').screenshot();
    // Lit stone has many tones; an empty canvas has one, with bar and lamp some dozens.
    expect(await coloursIn(page, picture)).toBeGreaterThan(300);
    await visit.shoot('bench');
  });

  test('points at one station in all views, by arrow keys as well', async () => {
    const before = Number(await stationOf());
    await page.getByRole('slider', { name: 'Station along the length' }).focus();
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('PageUp');
    expect(Number(await stationOf())).toBe(Math.min(100, before + 11));
    const along = page.getByRole('slider', { name: 'Place along the margin' });
    expect(Number(await along.getAttribute('aria-valuenow'))).toBe(Math.min(100, before + 11));
    await along.focus();
    await page.keyboard.press('Home');
    expect(await stationOf()).toBe('0');
  });

  test('turns and zooms by keys and takes the named views', async () => {
    const canvas = page.locator('.stage-canvas');
    const front = await canvas.screenshot();
    await page.locator('.stage').getByRole('button', { name: 'Left' }).click();
    const side = await canvas.screenshot();
    expect(side.equals(front)).toBe(false);
    await canvas.focus();
    await page.keyboard.press('ArrowRight');
    expect((await canvas.screenshot()).equals(side)).toBe(false);
    expect(
      await page.locator('.stage').getByRole('button', { name: 'Left' }).getAttribute('aria-pressed'),
    ).toBe('false');
  });

  test('a changed setting is measured, shown, and undone', async () => {
    // The line is sampled from the other end then: its uncertainty may differ in its last digit.
    const wander = async (side: string): Promise<string | undefined> =>
      (await spoken(`edge.wander.${side}`))?.split(' plus or minus')[0];
    const left = await wander('left');
    const right = await wander('right');
    expect(left).not.toBe(right);
    await page.getByRole('button', { name: 'Swap faces' }).click();
    await untilMeasured(page);
    await expect.poll(() => wander('left'), { timeout: 30_000 }).toBe(right);
    expect(await wander('right')).toBe(left);
    await page.getByRole('button', { name: 'Undo' }).click();
    await expect.poll(() => wander('left'), { timeout: 30_000 }).toBe(left);
    await expect.poll(() => page.getByRole('button', { name: 'Automatic' }).isDisabled()).toBe(true);
  });

  test('explains a measure on demand', async () => {
    const row = page.locator('[data-measure="edge.angle.mean"] .row-name');
    await row.focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => row.getAttribute('aria-expanded')).toBe('true');
    const detail = page.locator('.row-detail');
    await expect.poll(() => detail.textContent()).toContain('edge.angle.mean');
    await page.keyboard.press('Enter');
    await expect.poll(() => detail.count()).toBe(0);
  });

  test('keeps its place in the address: back, forward', async () => {
    const address = page.url();
    await page.goBack();
    await page.waitForSelector('.drawer');
    await page.goForward();
    expect(page.url()).toBe(address);
    await untilMeasured(page);
  });

  test('a link to a scan that is no longer there says so and what to do', async () => {
    await page.goto(`${workbench.origin}/#/bench/scan-7`);
    await page.waitForSelector('[role="alert"]');
    await expect
      .poll(() => page.locator('[role="alert"]').textContent())
      .toContain('no longer in the drawer');
    await expect.poll(() => page.getByRole('button', { name: 'Open files…' }).count()).toBeGreaterThan(0);
  });
});

describe('what can go wrong', () => {
  beforeEach(begin);
  afterEach(end);

  test('a photo renamed to a scan gives one sentence and a way on', async () => {
    await drop('picture.ply', '\u00ff\u00d8\u00ff\u00e0 not a scan at all');
    await page.waitForSelector('[role="alert"]');
    await expect.poll(() => page.locator('.waiting h1').textContent()).toBe('picture.ply can’t be measured');
    await expect.poll(() => page.locator('.waiting-what').textContent()).toMatch(/\.$/);
    await visit.shoot('fault');
    // It has said so: no empty card is left behind, which one would have to clear away.
    await page.getByText('It was not put into the drawer').waitFor();
    await page.getByRole('link', { name: 'Back to the drawer' }).click();
    await page.locator('.card').first().waitFor();
    expect(await page.locator('.card', { hasText: 'picture' }).count()).toBe(0);
    await choose('invented.ply', scan);
    await untilMeasured(page);
  });

  test('measuring can be cancelled and taken up again', async () => {
    await choose('large.ply', toPly(subdivided(subdivided(humpedPiece(30_000)))));
    await page.getByRole('button', { name: 'Cancel' }).click();
    await page.getByText('Measuring was stopped').waitFor();
    await visit.shoot('stopped');
    await choose('invented.ply', scan);
    await untilMeasured(page);
    await expect.poll(() => page.locator('h1').textContent()).toBe('invented');
  });
});

test('the policy lets the page run no text as a program and reach no other origin', async () => {
  const other = await workbench.visit();
  const answers = await other.page.evaluate(async () => {
    const refused = (): 'refused' => 'refused';
    const ran = new Promise((resolve) => {
      document.addEventListener('securitypolicyviolation', (event) => resolve(event.violatedDirective));
      const script = document.createElement('script');
      script.textContent = 'window.ran = true';
      document.head.append(script);
    });
    return [
      await ran,
      'ran' in window,
      await fetch('http://127.0.0.1:9/').then(() => 'answered', refused),
      await fetch('https://localhost:9/').then(() => 'answered', refused),
    ];
  });
  await other.close();
  expect(answers).toEqual(['script-src-elem', false, 'refused', 'refused']);
});
