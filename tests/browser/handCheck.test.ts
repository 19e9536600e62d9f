import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openHumped, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;
let page: Page;

beforeAll(async () => {
  ({ workbench, visit, page } = await openHumped());
});
afterAll(() => workbench.close());

const reading = (id: string) => page.locator(`[data-reading="${id}"] td`);
const slider = (name: string) => page.getByRole('slider', { name });

test('a student measures with keys and mouse, and only then sees what was computed', async () => {
  const length = await page.locator('.main-value').first().textContent();
  await page.getByRole('button', { name: 'Hand check' }).click();
  // Nothing on the page tells the length any more.
  expect(await page.locator('.bench').textContent()).not.toContain(length);
  expect(await page.locator('.plan-midline, .plan-hump, .main-numbers, [data-measure]').count()).toBe(0);

  await slider('Direction of the length axis').focus();
  for (let k = 0; k < 3; k++) await page.keyboard.press('PageUp');
  await slider('Length caliper, upper jaw').focus();
  await page.keyboard.press('ArrowDown');
  expect(await reading('length').first().textContent()).toMatch(/^\d+\.\d\u202fmm$/);
  expect(await reading('width').first().textContent()).toBe('not read');

  // The right jaw is dragged inward with the mouse.
  const before = Number(await slider('Width caliper, right jaw').getAttribute('aria-valuenow'));
  const jaw = await page.locator('.handle-width').last().boundingBox();
  if (jaw === null) throw new Error('no jaw to drag');
  const [x, y] = [jaw.x + jaw.width / 2, jaw.y + jaw.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x - 30, y, { steps: 3 });
  await page.mouse.up();
  const after = Number(await slider('Width caliper, right jaw').getAttribute('aria-valuenow'));
  expect(after).toBeLessThan(before);

  await page.getByRole('button', { name: 'Put the hump mark on Face A' }).click();
  await slider('Hump mark').focus();
  await page.keyboard.press('Shift+ArrowUp');
  await visit.shoot('hand-check');
  await page.getByRole('button', { name: 'Show what was computed' }).click();
  expect(await reading('length').nth(1).textContent()).toContain(`± `);
  const [mine, computed, difference] = await reading('length').allTextContents();
  expect(Number.parseFloat(difference.replace('−', '-'))).toBeCloseTo(
    Number.parseFloat(mine) - Number.parseFloat(computed),
    0,
  );
  expect(await page.locator('.hand-check-hump').textContent()).toMatch(/hump/);
  expect(await page.locator('.desk .shown-dimension').count()).toBe(2);
  await visit.shoot('hand-check-answers');

  await page.getByRole('button', { name: 'Read once more' }).click();
  expect(await reading('length').first().textContent()).toBe('not read');
  await page.getByRole('button', { name: 'Leave the hand check' }).click();
  expect(await page.locator('.main-value').first().textContent()).toBe(length);
  expect(visit.complaints).toEqual([]);
}, 60_000);
