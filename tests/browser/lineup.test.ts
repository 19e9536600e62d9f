import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { LINEUP_VIEWS, type LineupViewId } from '../../src/app/state/route.ts';
import { ROOT } from '../../src/cli/ensure.mjs';
import { writeRecord } from '../../src/record/write.ts';
import { madeRecords } from '../drawer/madeRecords.ts';
import { OUTPUT, openWorkbench, type Visit, type Workbench } from './workbench.ts';

const MANY = 5000;
/** Measures that the records of the many keep: all would be 170 MB of files to write. */
const KEPT = new Set([
  ...['length', 'width', 'thickness', 'width.thickness', 'area', 'edge.angle.mean', 'symmetry.overlap'],
  ...['edge.wander.left', 'edge.wander.right', 'humps.count', 'humps.excess', 'section.50.form'],
]);

let workbench: Workbench;
let folder: string;
let many: string[];
/** Hand measurements of the first pieces: half a millimetre off, and in the third row ten times too large. */
let hand: string;

beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
  folder = mkdtempSync(join(tmpdir(), 'knapgauge-lineup-'));
  const records = await madeRecords(MANY, 11, (id) => KEPT.has(id));
  const cm = records
    .slice(0, 3)
    .map(({ measurements }) => Number(measurements.find(({ id }) => id === 'length')?.value) / 10);
  hand = `catalogue_number;length_cm;colour\nGEN 1;${cm[0] + 0.05};red\ngen 2;${String(cm[1] - 0.05).replace('.', ',')};\nGEN 3;${10 * cm[2]};\nnowhere;9;\n`;
  many = records.map((record, i) => {
    const path = join(folder, `gen-${i + 1}.specimen.json`);
    // Every fifth piece was measured before, by somebody else.
    const again = i % 5 === 4;
    const { number = '' } = records[again ? i - 1 : i].catalogue;
    const catalogue = { ...record.catalogue, number, observer: again ? 'Ben' : 'Ann' };
    writeFileSync(path, writeRecord({ ...record, catalogue }));
    return path;
  });
});
afterAll(async () => {
  await workbench.close();
  rmSync(folder, { recursive: true, force: true });
});

/** A visit to the lineup with the first `count` records: demo pieces then keep out of it. */
async function withRecords(count: number, options = {}): Promise<Visit> {
  const visit = await workbench.visit(options);
  const { page } = visit;
  await page.goto(`${workbench.origin}/#/lineup/table`);
  await page.getByRole('heading', { name: 'Lineup' }).waitFor();
  await page.setInputFiles('input[aria-label="Record files"]', many.slice(0, count));
  await page.waitForFunction(
    (least) => {
      const status = document.querySelector('.lineup-head [role="status"]')?.textContent ?? '';
      return !status.startsWith('Reading') && Number.parseInt(status, 10) === least;
    },
    count,
    { timeout: 90_000 },
  );
  return visit;
}

async function show(page: Page, view: LineupViewId): Promise<void> {
  await page.evaluate((id) => {
    location.hash = `#/lineup/${id}`;
  }, view);
  if (view === 'hand') {
    await page.setInputFiles('input[aria-label="Hand measurements"]', {
      name: 'hand.csv',
      mimeType: 'text/csv',
      buffer: Buffer.from(hand),
    });
  }
  const inside = view === 'table' ? '.long-table tbody th' : '.figure';
  const ready = `.lineup-view[data-view="${view}"] ${inside}`;
  await page.locator(ready).first().waitFor({ timeout: 20_000 });
}

const group = (page: Page, name: string) =>
  page.locator('.lineup-head select').selectOption({ label: name }, { timeout: 5000 });

async function saved(page: Page, button: string): Promise<{ name: string; text: string }> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: button }).first().click(),
  ]);
  return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
}

/** 12 of the first 60 records are second readings. */
async function readRepeats(page: Page): Promise<void> {
  await expect
    .poll(() => page.locator('.lineup-view').textContent())
    .toContain('12 pieces with 24 readings, by Ann; Ben.');
  const whole = await saved(page, 'Save all measures (CSV)');
  expect(whole.name).toBe('repeat.csv');
  const [header, first] = whole.text.split('\r\n').map((line) => line.split(','));
  expect([first[header.indexOf('pieces')], first[header.indexOf('readings')]]).toEqual(['12', '24']);
  // What the table shows is what the file holds.
  const shown = await page.locator('.lineup-view tbody tr').first().locator('td').allTextContents();
  expect(Number(shown[0])).toBeCloseTo(Number(first[header.indexOf('tem')]), 2);
  expect(shown.at(-6)).toContain(Number(first[header.indexOf('icc_1_1')]).toFixed(3).replace('-', '−'));
  expect((await saved(page, 'Save report (SVG)')).text).toMatch(/^<svg /);
}

/** Three rows belong to pieces, one of them in the wrong unit; a row and a column fit nothing. */
async function readHand(page: Page): Promise<void> {
  const text = (await page.locator('.lineup-view').textContent()) ?? '';
  expect(text).toContain('3 of 4 rows matched');
  expect(text).toContain('row 5, nowhere: no record has this catalogue number');
  expect(text).toMatch(/GEN 3: length .* centimetres and millimetres were probably mixed up/);
  expect(text).toContain('colour');
  // The other column tells groups.
  await group(page, 'colour, from the table');
  const differences = await saved(page, 'Save differences (CSV)');
  expect(differences.text.split('\r\n').filter((line) => line.includes('length')).length).toBe(3);
}

describe('the lineup', () => {
  test('every view is drawn, saved as a picture and as data, and leads to the pieces', async () => {
    const visit = await withRecords(60);
    const { page } = visit;
    await group(page, 'Raw material');
    const demo = page.getByRole('checkbox', { name: 'Demo pieces' });
    await expect.poll(() => demo.isChecked()).toBe(false);
    for (const view of LINEUP_VIEWS) {
      await show(page, view);
      await visit.shoot(`lineup-${view}`);
      if (view === 'repeat') await readRepeats(page);
      if (view === 'hand') await readHand(page);
      const data = await saved(page, 'Save data (CSV)');
      expect(data.name, view).toMatch(/\.csv$/);
      expect(data.text.split('\r\n').length, view).toBeGreaterThan(3);
      // Each column says its unit, in a name that needs no quotes in R or Python.
      expect(data.text.split('\r\n')[0], view).toMatch(/^[\w.,]+$/);
      if (view === 'table') {
        expect(data.text).toMatch(/^piece,kind,length_mm,length_mm_u,/);
        await page.getByLabel('Uncertainties (± u)').check();
        expect(await page.locator('.long-table td').first().textContent()).toMatch(/^[\d.]+ ± 0\.\d+$/);
        continue;
      }
      const picture = await saved(page, 'Save picture (SVG)');
      expect(picture.name, view).toMatch(/\.svg$/);
      expect(picture.text, view).toMatch(/^<svg [^>]*xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
      expect(picture.text, view).not.toMatch(/NaN|undefined|var\(--/);
    }
    await show(page, 'scatter');
    await page.locator('.figure .chart').focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.locator('.picked li').count()).toBe(1);
    await group(page, 'Picked pieces');
    await show(page, 'groups');
    await expect.poll(() => page.locator('.lineup-view tbody tr').count()).toBeGreaterThan(3);
    await visit.close();
    expect(visit.complaints).toEqual([]);
    expect(visit.foreign).toEqual([]);
  });

  test('a demo piece that is picked opens on the bench', async () => {
    const visit = await workbench.visit();
    const { page } = visit;
    await page.goto(`${workbench.origin}/#/lineup/table`);
    const first = page.locator('.long-table tbody input').first();
    await first.waitFor({ timeout: 60_000 });
    await first.check();
    await page.locator('.picked a').click();
    await page.waitForSelector('.bench', { timeout: 20_000 });
    expect(page.url()).toContain('#/bench/');
    await visit.close();
    expect(visit.complaints).toEqual([]);
  });

  test('a file that is no record is left out with a sentence', async () => {
    const visit = await workbench.visit();
    const { page } = visit;
    await page.goto(`${workbench.origin}/#/lineup/table`);
    await page.setInputFiles('input[aria-label="Record files"]', {
      name: 'notes.json',
      mimeType: 'application/json',
      buffer: Buffer.from('{"a": 1}'),
    });
    await page.getByRole('alert').waitFor();
    await expect
      .poll(() => page.getByRole('alert').textContent())
      .toContain('notes.json: This is not a record');
    await visit.close();
    expect(visit.complaints).toEqual([]);
  });

  test(`${MANY} pieces: a few elements a view, rows only where they are seen`, async () => {
    const visit = await withRecords(MANY);
    const { page } = visit;
    await group(page, 'Raw material');
    await page.evaluate(() => {
      const tasks: { at: string; ms: number }[] = [];
      Object.assign(window, { longTasks: tasks });
      new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) tasks.push({ at: location.hash, ms: duration });
      }).observe({ type: 'longtask' });
    });
    const nodes: number[] = [];
    const work: string[] = [];
    const session = await page.context().newCDPSession(page);
    // The thread's own time: what other processes take of the processor does not count.
    await session.send('Performance.enable', { timeDomain: 'threadTicks' });
    const metrics = async (): Promise<Map<string, number>> => {
      const { metrics: list } = await session.send('Performance.getMetrics');
      return new Map(list.map(({ name, value }) => [name, 1000 * value]));
    };
    for (const view of LINEUP_VIEWS) {
      const before = await metrics();
      await show(page, view);
      await page.waitForTimeout(300);
      const after = await metrics();
      const spent = (name: string): number => (after.get(name) ?? 0) - (before.get(name) ?? 0);
      const parts = ['TaskDuration', 'ScriptDuration', 'LayoutDuration', 'RecalcStyleDuration'];
      work.push(`${view}: ${parts.map((name) => spent(name).toFixed(0)).join(' / ')}`);
      nodes.push(await page.evaluate(() => document.querySelectorAll('main *').length));
    }
    await show(page, 'scatter');
    const box = await page.locator('.figure .chart').boundingBox();
    if (box === null) throw new Error('no picture');
    for (let i = 0; i < 30; i++) {
      await page.mouse.move(box.x + (box.width * i) / 30, box.y + box.height / 2);
    }
    await show(page, 'table');
    await page.locator('.long-table').evaluate((table) => table.scrollTo(0, table.scrollHeight / 2));
    await page.getByRole('rowheader', { name: /GEN/ }).first().waitFor();
    await expect.poll(() => page.locator('.long-table tbody tr').count()).toBeLessThan(80);
    const tasks = await page.evaluate(
      () => (window as unknown as { longTasks: { at: string; ms: number }[] }).longTasks,
    );
    writeFileSync(join(OUTPUT, 'lineup-long-tasks.json'), JSON.stringify(tasks, null, 2));
    console.log(
      `${MANY} pieces; tasks over 50 ms: ${tasks.map(({ at, ms }) => `${at} ${ms}`).join(', ') || 'none'}`,
    );
    console.log(`processor ms in all / script / layout / style: ${work.join('; ')}`);
    await visit.close();
    expect(visit.complaints).toEqual([]);
    // Reported, not asserted: graphics are drawn by the processor here, which other work shares.
    expect(Math.max(...nodes)).toBeLessThan(1500);
  });
});

const ALL_RULES = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

interface Findings {
  readonly violations: readonly {
    readonly id: string;
    readonly impact: string | null;
    readonly nodes: readonly { readonly html: string }[];
  }[];
}

test('every view is free of serious breaches of WCAG A and AA in both themes, and fits a tablet', async () => {
  const visit = await withRecords(40, { viewport: { width: 1024, height: 768 }, bypassCSP: true });
  const { page } = visit;
  await group(page, 'Raw material');
  await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
  for (const view of LINEUP_VIEWS) {
    await show(page, view);
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      await visit.shoot(`lineup-${view}-1024-${colorScheme}`);
      // Themes differ in colours and nothing else.
      const rules = colorScheme === 'light' ? ALL_RULES : ['color-contrast'];
      const { violations } = await page.evaluate(async (runOnly) => {
        const { axe } = window as unknown as { axe: { run(options: object): Promise<Findings> } };
        return axe.run({ runOnly });
      }, rules);
      const bad = violations
        .filter(({ impact }) => impact === 'serious' || impact === 'critical')
        .flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html}`));
      expect(bad, `${view}, ${colorScheme}`).toEqual([]);
    }
    const overhang = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overhang, view).toBe(0);
  }
  await visit.close();
});
