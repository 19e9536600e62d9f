import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openHumped, untilMeasured, type Visit, type Workbench } from './workbench.ts';

/**
 * Notes how long the page's scripts run, ms, each time that they are called, until it is asked for. Where there is no graphics
 * card a drawn frame holds up the page by itself: that is no work of its scripts.
 */
async function traceScripts(page: Page): Promise<() => Promise<readonly number[]>> {
  const browser = page.context().browser();
  if (browser === null) throw new Error('no browser');
  await browser.startTracing(page, { categories: ['devtools.timeline'] });
  return async () => {
    const text = (await browser.stopTracing()).toString('utf8');
    const { traceEvents } = JSON.parse(text) as { traceEvents: { name: string; dur?: number }[] };
    return traceEvents
      .filter(({ name }) => name === 'FireAnimationFrame' || name === 'FunctionCall')
      .map(({ dur = 0 }) => dur / 1000);
  };
}

let workbench: Workbench;
let visit: Visit;
let page: Page;

beforeAll(async () => {
  ({ workbench, visit, page } = await openHumped());
});
afterAll(() => workbench.close());

test('the surface is shaded by thickness, hump excess and edge angle, each with its scale', async () => {
  const canvas = page.locator('.stage-canvas canvas');
  const pictures = [await canvas.screenshot()];
  await expect.poll(() => page.locator('.shade-key').count()).toBe(0);
  const keys: Readonly<Record<string, RegExp>> = {
    Thickness: /^\d\d\.\d\u202fmm0\u202fmmthickness$/,
    'Hump excess': /^\d\.\d\u202fmm0\u202fmmabove the reference$/,
    'Edge angle': /^\d+°\d+°edge angle$/,
  };
  for (const [shade, key] of Object.entries(keys)) {
    await page.getByLabel('What the surface shows').selectOption(shade);
    await expect.poll(() => page.locator('.shade-key').textContent()).toMatch(key);
    pictures.push(await canvas.screenshot());
    await visit.shoot(`shade-${shade.replace(' ', '-')}`);
  }
  const different = new Set(pictures.map((picture) => picture.toString('base64')));
  expect(different.size).toBe(pictures.length);
  await page.getByLabel('What the surface shows').selectOption('Stone');
  expect(visit.complaints).toEqual([]);
}, 60_000);

test('the section plane is drawn along the length by mouse and keys, in any view, and the section follows', async () => {
  const grip = page.getByRole('slider', { name: 'Section plane along the length' });
  const at = async (): Promise<number> => Number(await grip.getAttribute('aria-valuenow'));
  const words = (): Promise<string | null> => page.locator('.section-words').textContent();
  await grip.focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('PageUp');
  await page.keyboard.press('PageUp');
  expect(await at()).toBe(20);
  expect(await words()).toMatch(/^Section at 20 /);
  for (const view of ['Face A', 'Left']) {
    await page.locator('.stage').getByRole('button', { name: view }).click();
    const before = await at();
    const box = await grip.boundingBox();
    if (box === null) throw new Error('no grip');
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x, y - 60, { steps: 4 });
    await page.mouse.up();
    const after = await at();
    expect(after, view).toBeGreaterThan(before + 5);
    // The knob stays under the pointer, to within a station.
    const moved = await grip.boundingBox();
    expect(Math.abs((moved?.y ?? 0) - (box.y - 60)), view).toBeLessThan(6);
    expect(await words()).toContain(`Section at ${after} `);
  }
  await visit.shoot('section-plane');
  expect(visit.complaints).toEqual([]);
}, 60_000);

test('the pointer over the stone moves the same place in all views, a tap as well, and a turn does not; nothing holds the page up', async () => {
  await page.locator('.stage').getByRole('button', { name: 'Face A' }).click();
  const stone = await page.locator('.stage-canvas canvas').boundingBox();
  if (stone === null) throw new Error('no canvas');
  const [x, y] = [stone.x + stone.width / 2, stone.y + stone.height / 2];
  const pointed = async (): Promise<readonly string[]> => [
    (await page
      .getByRole('slider', { name: 'Section plane along the length' })
      .getAttribute('aria-valuenow')) ?? '',
    (await page.getByRole('slider', { name: 'Station along the length' }).getAttribute('aria-valuenow')) ??
      '',
    (await page.getByRole('slider', { name: 'Place along the margin' }).getAttribute('aria-valuenow')) ?? '',
    (await page.locator('.cursor-label').textContent()) ?? '',
    /^Section at (\d+) /.exec((await page.locator('.section-words').textContent()) ?? '')?.[1] ?? '',
  ];
  const untraced = await traceScripts(page);
  const seen: number[] = [];
  for (const up of [0, 60, 120, -90]) {
    await page.mouse.move(x, y - up, { steps: 12 });
    await expect.poll(async () => new Set(await pointed()).size).toBe(1);
    seen.push(Number((await pointed())[0]));
  }
  // The middle of the picture is the middle of the piece; up the picture is up the piece.
  expect(seen[0]).toBe(50);
  expect(seen[1]).toBeGreaterThan(seen[0] + 5);
  expect(seen[2] - seen[1]).toBeGreaterThan(seen[1] - seen[0] - 2);
  expect(seen[3]).toBeLessThan(seen[0] - 8);
  await visit.shoot('stage-pointed');
  // Beside the stone there is nothing to point at.
  await page.mouse.move(stone.x + stone.width - 6, stone.y + 6, { steps: 3 });
  const there = await pointed();
  await page.mouse.move(stone.x + 6, stone.y + stone.height / 2);
  expect(await pointed()).toEqual(there);
  // Turning the piece points at nothing; a press that stays where it is does.
  await page.mouse.move(x, y + 40);
  await expect.poll(async () => Number((await pointed())[0])).toBeLessThan(50);
  const before = await pointed();
  await page.mouse.down();
  await page.mouse.move(x + 60, y - 60, { steps: 6 });
  expect(await pointed()).toEqual(before);
  await page.mouse.up();
  await page.locator('.stage').getByRole('button', { name: 'Face A' }).click();
  await page.mouse.click(x, y);
  await expect.poll(async () => Number((await pointed())[0])).toBe(50);
  const runs = await untraced();
  expect(runs.length).toBeGreaterThan(20);
  expect(Math.max(...runs)).toBeLessThan(50);
  expect(visit.complaints).toEqual([]);
}, 60_000);

test('the lamp is dragged to the rim and rakes', async () => {
  const lamp = page.getByRole('slider', { name: /^Lamp/ });
  const canvas = page.locator('.stage-canvas canvas');
  const before = await canvas.screenshot();
  const box = await lamp.boundingBox();
  if (box === null) throw new Error('no lamp');
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width + 20, box.y + box.height / 2, { steps: 3 });
  await page.mouse.up();
  await expect
    .poll(() => lamp.getAttribute('aria-valuetext'))
    .toMatch(/^from (0|359|360|1) degrees, 8 degrees high$/);
  expect((await canvas.screenshot()).equals(before)).toBe(false);
  expect(visit.complaints).toEqual([]);
}, 60_000);

test('nothing lies on the grip of the section plane or on the lamp, also on a piece that is broad at its base', async () => {
  await page.goto(`${workbench.origin}/#/bench/qt-41-9-snapped-biface`);
  await untilMeasured(page);
  await page.getByLabel('What the surface shows').selectOption('Thickness');
  const grip = page.getByRole('slider', { name: 'Section plane along the length' });
  // Seen larger, the lower end of the plane would come to lie under the lamp.
  for (const [station, closer] of [
    [3, 0],
    [50, 0],
    [97, 0],
    [3, 2],
  ]) {
    await page.locator('.stage-canvas').focus();
    for (let k = 0; k < closer; k++) await page.keyboard.press('+');
    await grip.focus();
    await page.keyboard.press('Home');
    for (let k = 0; k < Math.floor(station / 10); k++) await page.keyboard.press('PageUp');
    for (let k = 0; k < station % 10; k++) await page.keyboard.press('ArrowUp');
    await expect.poll(() => grip.getAttribute('aria-valuenow')).toBe(String(station));
    await expect
      .poll(() =>
        page.evaluate(() => {
          const boxes = ['.plane-grip', '.lamp', '.shade-key', '.stage-scale'].flatMap((one) => {
            const found = document.querySelector(`.stage ${one}`);
            return found === null ? [] : [found.getBoundingClientRect()];
          });
          const overlap = (a: DOMRect, b: DOMRect): boolean =>
            a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
          return boxes.map((box, i) => boxes.some((other, k) => k !== i && overlap(box, other))).join();
        }),
      )
      .toBe('false,false,false,false');
  }
}, 60_000);
