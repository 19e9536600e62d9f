import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { drawMat } from '../../src/plate/mat.ts';
import { matPdf } from '../../src/plate/matPdf.ts';
import { planPolygon } from '../pieces/outlines.ts';
import { type MadePhoto, makePhoto } from '../pieces/photo.ts';
import { breaches } from './axe.ts';
import { OUTPUT, openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

const { points: point, tip: TIP } = planPolygon({ shape: 'lanceolate', length: 92, width: 38 }, 1);
const preform = planPolygon({ shape: 'ovate', length: 52, width: 36 }, 2).points;
const BLOCK = 10;
const BLOCKS = 5;

/** Two pieces that lie flat in the plane of the bar, so that there is no parallax: 6 px in a millimetre. */
function photograph(pieces: boolean): MadePhoto {
  return makePhoto({
    camera: { width: 1320, height: 960, focal: 2400, distance: 400 },
    light: { backdrop: 'wood', falloff: 0.2, shadow: 0.3, softness: 4, facets: 0.15 },
    bars: pieces ? [{ place: { x: 45, y: -52 }, block: BLOCK, blocks: BLOCKS, thickness: 6, rim: 4 }] : [],
    pieces: pieces
      ? [
          { outline: point, place: { x: -45, y: -46, angle: 12 }, height: 0, stone: 'pale' },
          { outline: preform, place: { x: 50, y: -10, angle: -30 }, height: 0, stone: 'pale' },
        ]
      : [],
    seed: 8,
  });
}

async function toPng({ pixels: { width, height, rgba } }: MadePhoto): Promise<Buffer> {
  const raw = { width, height, channels: 4 } as const;
  return sharp(Buffer.from(rgba.buffer), { raw }).removeAlpha().png({ compressionLevel: 2 }).toBuffer();
}

/** Extent of an outline along its own axis: its length, because both pieces are the same left and right. */
function lengthOf(outline: Float64Array): number {
  const y = outline.filter((_, i) => i % 2 === 1);
  return Math.max(...y) - Math.min(...y);
}

let workbench: Workbench;
let visit: Visit;
let made: MadePhoto;
let png: Buffer;

beforeAll(async () => {
  made = photograph(true);
  png = await toPng(made);
  workbench = await openWorkbench();
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

const put = (page: Page, name: string, buffer: Buffer): Promise<void> =>
  page.setInputFiles('input[aria-label="Scan files"]', { name, mimeType: '', buffer });

async function measuredLength(page: Page): Promise<number> {
  await untilMeasured(page);
  const words = await page.locator('[data-measure="length"] .amount > span').first().textContent();
  return Number(words);
}

async function tellBar(page: Page): Promise<void> {
  await page.getByLabel('Scale from').selectOption('bar');
  await page.getByLabel('Length of one block, mm').fill(String(BLOCK));
  await page.keyboard.press('Enter');
}

/** Where a place of the photograph is on the screen. */
async function onScreen(page: Page, x: number, y: number): Promise<[number, number]> {
  const box = await page.locator('.photo-fill image').boundingBox();
  if (box === null) throw new Error('no photograph on the bench');
  const { width, height } = made.pixels;
  return [box.x + ((x + 0.5) / width) * box.width, box.y + ((y + 0.5) / height) * box.height];
}

/** What lies at a place of the screen and which tool is in hand: told when a click did not do what it should. */
async function underPlace(page: Page, [x, y]: readonly [number, number]): Promise<string> {
  const under = await page.evaluate(
    ([left, top]) => {
      const element = document.elementFromPoint(left, top);
      return `${element?.tagName} ${element?.getAttribute('class')} at ${left}, ${top} of ${innerWidth} × ${innerHeight}`;
    },
    [x, y] as const,
  );
  const tool = await page.locator('.photo-fill').getAttribute('data-tool');
  return `${under}, tool “${tool}”, ${await page.locator('.bench').getAttribute('data-phase')}`;
}

async function areaOf(page: Page): Promise<number> {
  await untilMeasured(page);
  return Number(await page.locator('[data-measure="area"] .amount > span').first().textContent());
}

/** The outline painted out, in and moved: by mouse, by keyboard, by finger. Leaves the outline as it was traced. */
async function correct(page: Page): Promise<void> {
  const whole = await areaOf(page);
  const ring = made.seen[0];
  let [right, at] = [0, 0];
  for (let i = 0; i < ring.length; i += 2) if (ring[i] > right) [right, at] = [ring[i], ring[i + 1]];
  await page.getByRole('button', { name: 'Paint out' }).click();
  await page.getByLabel('Unit of the brush').selectOption('mm');
  await page.getByLabel('Breadth').fill('6');
  await page.keyboard.press('Enter');
  // A bite of about half a brush, 3 mm deep: 6 px in a millimetre.
  await page.mouse.move(...(await onScreen(page, right + 30, at)));
  await page.mouse.down();
  await page.mouse.move(...(await onScreen(page, right, at)), { steps: 4 });
  await visit.shoot('photo-brush');
  await page.mouse.up();
  await expect.poll(() => areaOf(page)).toBeLessThan(whole - 8);
  const bitten = await areaOf(page);
  expect(bitten).toBeGreaterThan(whole - 25);
  await page.getByText('of the outline was drawn by hand').first().waitFor();
  await expect.poll(() => page.getByText('1 correction').count()).toBe(1);

  // The keyboard paints it in again: the edge of light is there.
  await page.getByRole('button', { name: 'Paint in' }).click();
  await page.mouse.move(...(await onScreen(page, right - 22, at)));
  await page.keyboard.press(']');
  await expect.poll(() => page.getByLabel('Breadth').inputValue()).toBe('7.5');
  await page.keyboard.press('Space');
  for (let k = 0; k < 3; k++) await page.keyboard.press('Shift+ArrowLeft');
  await page.keyboard.press('Space');
  await expect.poll(() => areaOf(page)).toBeGreaterThan(bitten + 3);

  // A finger drags the line outward.
  await page.getByRole('button', { name: 'Move the line' }).click();
  const before = await areaOf(page);
  const touch = await page.context().newCDPSession(page);
  const finger = async (type: 'touchStart' | 'touchMove' | 'touchEnd', dx: number): Promise<void> => {
    const [x, y] = await onScreen(page, right + dx, at + 60);
    await touch.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: type === 'touchEnd' ? [] : [{ x, y }],
    });
  };
  await page.getByLabel('Take edges near by').uncheck();
  await finger('touchStart', -4);
  await finger('touchMove', 10);
  await finger('touchMove', 30);
  await finger('touchEnd', 30);
  await expect.poll(() => areaOf(page)).toBeGreaterThan(before + 2);
  await page.waitForSelector('.photo-drawn');
  await visit.shoot('photo-corrected');

  // A stroke that parts the piece is left out with a sentence.
  await page.getByRole('button', { name: 'Paint out' }).click();
  await page.mouse.move(...(await onScreen(page, right + 60, at)));
  await page.mouse.down();
  await page.mouse.move(...(await onScreen(page, right - 400, at)), { steps: 6 });
  await page.mouse.up();
  await page.getByText('parts the piece in two. It was left out.').waitFor();
  await page.waitForSelector('.bench[data-phase="ready"]');
  await expect.poll(() => page.getByText('3 corrections').count()).toBe(1);
  await page.locator('.photo-fill').focus();
  await page.keyboard.press('Control+z');
  await expect.poll(() => page.getByText('2 corrections').count()).toBe(1);
  await untilMeasured(page);
  await page.keyboard.press('Control+Shift+z');
  await expect.poll(() => page.getByText('3 corrections').count()).toBe(1);
  await untilMeasured(page);
  for (let k = 0; k < 3; k++) {
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await untilMeasured(page);
  }
  await expect.poll(() => areaOf(page)).toBe(whole);
  await page.keyboard.press('Escape');
}

/** Two fingers on the photograph, from so far apart to so far, px. */
async function spread(page: Page, from: number, to: number): Promise<void> {
  const box = await page.locator('.photo-fill').boundingBox();
  if (box === null) throw new Error('no photograph on the bench');
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const touch = await page.context().newCDPSession(page);
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', apart: readonly number[]): Promise<unknown> =>
    touch.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: apart.map((dx, id) => ({ x: x + dx, y, id })),
    });
  await send('touchStart', [-from / 2]);
  await send('touchStart', [-from / 2, from / 2]);
  for (let step = 1; step <= 6; step++) {
    const apart = from + ((to - from) * step) / 6;
    await send('touchMove', [-apart / 2, apart / 2]);
  }
  await send('touchEnd', []);
  await touch.detach();
}

/** Two other ends are set by keys alone; then another way is chosen, and they no longer stand in the picture. */
async function pointByKeys(page: Page): Promise<void> {
  const ends = page.locator('.scale-end');
  const apart = (): Promise<number> =>
    ends.evaluateAll((all) => {
      const [a, b] = all.map((end) => end.getBoundingClientRect());
      return b === undefined ? 0 : Math.round(Math.hypot(a.x - b.x, a.y - b.y));
    });
  const before = await apart();
  await page.getByRole('button', { name: 'Click two others' }).press('Enter');
  await expect.poll(() => page.locator('.photo-fill:focus .crosshair').isVisible()).toBe(true);
  await page.keyboard.press('Enter');
  await expect.poll(() => ends.count()).toBe(1);
  // Two steps of 60 px, in shares of the picture: it is larger again once there is no word below it on what to do.
  const breadth = async (): Promise<number> =>
    (await page.locator('.photo-fill image').boundingBox())?.width ?? 0;
  const stepped = 120 / (await breadth());
  for (let k = 0; k < 2; k++) await page.keyboard.press('ArrowLeft');
  await page.keyboard.press('Enter');
  const field = page.getByLabel('Length between them, mm');
  await expect.poll(() => field.evaluate((input) => input === document.activeElement)).toBe(true);
  expect((await apart()) / (await breadth())).toBeCloseTo(stepped, 2);
  await page.getByLabel('Scale from').selectOption('bar');
  await expect.poll(apart).toBe(before);
  const block = page.getByLabel('Length of one block, mm');
  await block.fill(String(BLOCK));
  await page.keyboard.press('Enter');
  const off = async (): Promise<number> => Math.abs((await measuredLength(page)) / lengthOf(point) - 1);
  await expect.poll(off).toBeLessThan(0.003);
  // Undone and done again with keys: the field that comes back does not draw them to itself.
  for (const name of ['Undo', 'Redo']) {
    await page.getByRole('button', { name, exact: true }).press('Enter');
    await untilMeasured(page);
  }
  await expect.poll(() => block.inputValue()).toBe(String(BLOCK));
  expect(await block.evaluate((input) => input === document.activeElement)).toBe(false);
}

describe('a photograph', () => {
  test('without a known scale asks for it; then it is measured, corrected and kept', async () => {
    const { page } = visit;
    await put(page, 'two pieces.png', png);
    await page.waitForSelector('.scale-amiss');
    await expect
      .poll(() => page.locator('.scale-amiss p').textContent())
      .toContain('give the length of one of its blocks');
    await expect.poll(() => page.locator('.photo-fill image').count()).toBe(1);
    await visit.shoot('photo-asks');
    // Who has no scale in the picture finds one to print: the same mat as the command line's.
    const [mat] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Scale mat on A4, PDF' }).click(),
    ]);
    expect(mat.suggestedFilename()).toBe('scale-mat-A4.pdf');
    expect(readFileSync(await mat.path(), 'latin1') === matPdf(drawMat('A4'))).toBe(true);

    await page.evaluate(() => {
      const tasks: number[] = [];
      Object.assign(window, { longTasks: tasks });
      new PerformanceObserver((list) => {
        for (const { duration } of list.getEntries()) tasks.push(duration);
      }).observe({ type: 'longtask' });
    });
    await tellBar(page);
    const first = await measuredLength(page);
    expect(Math.abs(first / lengthOf(point) - 1)).toBeLessThan(0.003);
    await expect.poll(() => page.locator('.photo-outline').count()).toBe(1);
    await expect.poll(() => page.locator('.stage, .unrolled, .section-view').count()).toBe(0);
    await visit.shoot('photo-1440');

    // Another thing in the picture, by the keyboard alone.
    const other = page.getByRole('button', { name: 'Measure number 2 instead' });
    await other.focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => measuredLength(page)).not.toBe(first);
    expect(Math.abs((await measuredLength(page)) / lengthOf(preform) - 1)).toBeLessThan(0.003);
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await expect.poll(() => measuredLength(page)).toBe(first);
    await page.getByRole('button', { name: 'Swap ends' }).click();
    await untilMeasured(page);

    await correct(page);

    const tasks = await page.evaluate(() => (window as unknown as { longTasks: number[] }).longTasks);
    writeFileSync(join(OUTPUT, 'photo-long-tasks.json'), `${JSON.stringify(tasks)}\n`);
    console.log(`tasks over 50 ms: ${tasks.length} (${tasks.map((ms) => `${ms.toFixed(0)} ms`).join(', ')})`);

    await page.waitForSelector('.keep-state[data-state="kept"]');
    await page.reload();
    await expect.poll(() => measuredLength(page)).toBe(first);
    await expect.poll(() => page.getByLabel('Length of one block, mm').inputValue()).toBe(String(BLOCK));
    await page.setViewportSize({ width: 1024, height: 768 });
    await visit.shoot('photo-1024');
    await page.getByRole('link', { name: 'Drawer' }).click();
    await page.waitForSelector('section[aria-labelledby="own-pieces"] .card-size');
    await visit.shoot('photo-drawer');

    await page.getByRole('link', { name: 'Plate' }).click();
    await page.waitForSelector('.plate-preview img');
    await expect.poll(() => page.locator('.plate-fault').count()).toBe(0);
  });

  test('is free of breaches of WCAG A and AA, and fits a tablet', async () => {
    const own = await workbench.visit({ bypassCSP: true, viewport: { width: 1024, height: 768 } });
    const { page } = own;
    await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
    const overhang = (): Promise<number> =>
      page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    await put(page, 'two pieces.png', png);
    await page.waitForSelector('.scale-amiss');
    expect(await breaches(page)).toEqual([]);
    expect(await overhang()).toBe(0);
    await tellBar(page);
    await untilMeasured(page);
    await page.emulateMedia({ colorScheme: 'dark' });
    expect(await breaches(page)).toEqual([]);
    expect(await overhang()).toBe(0);
    await own.shoot('photo-1024-dark');
    // A brush's own fields take room: the picture itself stays as large as it was, and where it was.
    const picture = page.locator('.photo-fill image');
    const before = await picture.boundingBox();
    await page.getByRole('button', { name: 'Paint in' }).click();
    await page.getByLabel('Breadth').waitFor();
    expect(await breaches(page)).toEqual([]);
    expect(await overhang()).toBe(0);
    const after = await picture.boundingBox();
    expect(after?.width).toBe(before?.width);
    expect(after?.height).toBe(before?.height);
    expect(Math.abs((after?.y ?? 0) - (before?.y ?? 0))).toBeLessThan(8);
    await own.shoot('photo-brush-1024-dark');
    await own.close();
    expect(own.complaints).toEqual([]);
  });

  test('of several pieces gives each of them a place in the drawer', async () => {
    const { page } = visit;
    await put(page, 'two pieces.png', png);
    await page.waitForSelector('.scale-amiss');
    await tellBar(page);
    await untilMeasured(page);
    const keep = page.getByRole('button', { name: 'Keep the other piece too' });
    await keep.click();
    await page.getByText('It lies in the drawer now.').waitFor();
    await keep.click();
    await page.getByText('The other one lay there already.').waitFor();
    await page.getByRole('link', { name: 'Drawer' }).click();
    const card = page.locator('.card', { hasText: 'two pieces, number 2' });
    await card.locator('.card-size').waitFor();
    const [length] = ((await card.locator('.card-size').textContent()) ?? '').split(' ');
    expect(Math.abs(Number(length) / lengthOf(preform) - 1)).toBeLessThan(0.003);
  });

  test('takes its scale from two clicks and a length, and its tip from a click', async () => {
    const { page } = visit;
    await put(page, 'two pieces.png', png);
    await page.waitForSelector('.scale-amiss');
    // A way that is asked for is ready at once: the field has the cursor, the picture waits for clicks.
    await page.getByRole('button', { name: 'There is a bar in the picture' }).click();
    const field = page.getByLabel('Length of one block, mm');
    await expect.poll(() => field.evaluate((input) => input === document.activeElement)).toBe(true);
    await page.getByLabel('Scale from').selectOption('auto');
    await page.getByRole('button', { name: 'I know a length in it' }).click();
    const half = (BLOCK * BLOCKS) / 2;
    for (const x of [45 - half, 45 + half]) {
      await page.mouse.click(...(await onScreen(page, ...made.camera.toImage(x, -52, 0))));
    }
    await page.getByLabel('Length between them, mm').fill(String(2 * half));
    await page.keyboard.press('Enter');
    // A click is true to a pixel of the screen, of which there are about 200 between the points.
    const length = await measuredLength(page);
    expect(Math.abs(length / lengthOf(point) - 1)).toBeLessThan(0.01);

    // The piece alone, as large as it can be seen; and the whole picture again, for what follows.
    const traced = page.locator('.photo-layer .photo-outline');
    const height = async (): Promise<number> => (await traced.boundingBox())?.height ?? 0;
    const before = await height();
    await page.getByRole('button', { name: 'The piece', exact: true }).click();
    await expect.poll(height).toBeGreaterThan(1.1 * before);
    const pane = await page.locator('.photo-fill').boundingBox();
    const ring = await traced.boundingBox();
    if (pane === null || ring === null) throw new Error('nothing is drawn');
    expect(ring.y).toBeGreaterThan(pane.y);
    expect(ring.y + ring.height).toBeLessThan(pane.y + pane.height);
    await page.getByRole('button', { name: 'Whole picture' }).click();
    await expect.poll(height).toBeLessThan(1.01 * before);
    await spread(page, 60, 150);
    await expect.poll(height).toBeGreaterThan(2 * before);
    await spread(page, 150, 20);
    await expect.poll(height).toBeLessThan(1.01 * before);

    // An end is dragged farther out: the piece becomes smaller.
    const [x, y] = await onScreen(page, ...made.camera.toImage(45 + half, -52, 0));
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 20, y, { steps: 4 });
    await page.mouse.up();
    await expect.poll(() => measuredLength(page)).toBeLessThan(0.95 * length);

    await pointByKeys(page);

    // The ledger may still be drawing its rows, and the button move from under the pointer: then it is clicked again.
    const tool = page.getByRole('button', { name: 'Place the tip' });
    await expect
      .poll(async () => {
        if ((await tool.getAttribute('aria-pressed')) !== 'true') await tool.click();
        return tool.getAttribute('aria-pressed');
      })
      .toBe('true');
    const at = await onScreen(page, made.seen[0][2 * TIP], made.seen[0][2 * TIP + 1]);
    await page.mouse.click(...at);
    const axis = await page.getByLabel('Length axis').inputValue();
    expect(axis, `after a click on ${await underPlace(page, at)}`).toBe('tip-base');
    await untilMeasured(page);
  });

  test('that shows no piece, or is none, is answered with a sentence', async () => {
    const { page } = visit;
    await put(page, 'nothing.png', await toPng(photograph(false)));
    await page.waitForSelector('.scale-amiss');
    await page.getByLabel('Scale from').selectOption('typed');
    // What is no scale is not taken over, and it is said why.
    const field = page.getByRole('textbox', { name: 'Pixels in a millimetre' });
    for (const [typed, why] of [
      ['0', 'It must be above 0.'],
      ['-3', 'It must be above 0.'],
      ['six', '“six” is not a number.'],
    ]) {
      await field.fill(typed);
      await page.keyboard.press('Enter');
      await page.getByText(`${why} Nothing was taken over.`).waitFor();
    }
    await field.fill('6,0');
    await page.keyboard.press('Enter');
    await expect.poll(() => field.inputValue()).toBe('6');
    await field.fill('0');
    await field.blur();
    await page.getByText('It must be above 0. 6 stays.').waitFor();
    expect(await field.inputValue()).toBe('6');
    await page.getByText('No piece was found in the picture').waitFor();
    await visit.shoot('photo-no-piece');

    await put(page, 'cut.png', png.subarray(0, 5000));
    await page.waitForSelector('.waiting[role="alert"]');
    await expect.poll(() => page.locator('.waiting-what').textContent()).toMatch(/\.$/);
  });

  test('among other files stays in the drawer when its scale must be told', async () => {
    const { page } = visit;
    await page.setInputFiles('input[aria-label="Scan files"]', [
      { name: 'one.png', mimeType: '', buffer: png },
      { name: 'two.txt', mimeType: '', buffer: Buffer.from('no picture') },
    ]);
    await page.locator('.queue-line[data-state="asking"]').waitFor();
    await page.locator('.queue-line[data-state="failed"]').waitFor();
    await page.getByRole('heading', { name: '0 of 2 measured' }).waitFor();
    await visit.shoot('photo-queue');
    await page.getByRole('link', { name: 'Tell its scale' }).click();
    await page.waitForSelector('.scale-amiss');
    await tellBar(page);
    await untilMeasured(page);
    await page.getByRole('link', { name: 'Drawer' }).click();
    await page.getByRole('heading', { name: '1 of 2 measured' }).waitFor();
  });

  test('gives its scale to the others that lack one, also after a reload; that can be undone on their bench', async () => {
    const { page } = visit;
    await page.setInputFiles(
      'input[aria-label="Scan files"]',
      ['one.png', 'two.png', 'three.png'].map((name) => ({ name, mimeType: '', buffer: png })),
    );
    await page.getByRole('heading', { name: '0 of 3 measured' }).waitFor();
    await page.reload();
    await page.getByRole('link', { name: /^one/ }).click();
    await page.waitForSelector('.scale-amiss');
    await tellBar(page);
    const length = await measuredLength(page);
    await page.getByRole('button', { name: 'The same for the 2 other photographs without a scale' }).click();
    await page.getByText('2 are measured with it now.').waitFor();
    expect(await page.getByLabel('Length of one block, mm').count()).toBe(1);
    await page.getByRole('link', { name: 'Drawer' }).click();
    await page.getByRole('heading', { name: '2 of 2 measured' }).waitFor();
    await page.getByRole('link', { name: /^three/ }).click();
    expect(await measuredLength(page)).toBe(length);
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.getByText('The numbers below belong to the settings before.').waitFor();
  });
});
