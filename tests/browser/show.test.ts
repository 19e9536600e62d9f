import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openHumped, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;
let page: Page;

beforeAll(async () => {
  ({ workbench, visit, page } = await openHumped());
});
afterAll(async () => {
  await workbench.close();
});

const showButton = (name: string) =>
  page.getByRole('button', { name: `Show ${name} on the piece`, exact: true });
const sliderAt = async (): Promise<number> =>
  Number(await page.getByRole('slider', { name: 'Station along the length' }).getAttribute('aria-valuenow'));

test('a measure is shown on the plan, in space and in its section, by keys alone', async () => {
  const canvas = page.locator('.stage-canvas');
  const bare = await canvas.screenshot();
  await showButton('Thickness at 40 %').focus();
  await page.keyboard.press('Enter');
  await page.locator('.section-view .shown-dimension').waitFor();
  expect(await sliderAt()).toBe(40);
  await expect.poll(() => page.locator('.sheet .shown-dimension, .sheet .shown-dot').count()).toBe(2);
  await expect.poll(() => page.locator('.shown-note').textContent()).toMatch(/^Thickness at 40 % \d/);
  expect((await canvas.screenshot()).equals(bare)).toBe(false);
  await visit.shoot('shown');
  await page.keyboard.press('Escape');
  await expect.poll(() => page.locator('.shown').count()).toBe(0);
  expect(visit.complaints).toEqual([]);
});

test('the stroke on the plan is as long as the number says, on either face', async () => {
  await showButton('Width').click();
  const outline = await page.locator('.plan-outline').boundingBox();
  const length = Number(
    (await page.locator('[data-measure="length"] .amount span').first().textContent()) ?? '',
  );
  const width = Number(
    (await page.locator('[data-measure="width"] .amount span').first().textContent()) ?? '',
  );
  for (const face of ['A', 'B']) {
    await page
      .locator('.sheet')
      .getByRole('button', { name: `Face ${face}` })
      .click();
    const stroke = await page.locator('.sheet .shown-dimension .shown-stroke').first().boundingBox();
    if (stroke === null || outline === null) throw new Error('nothing is drawn');
    expect((stroke.width / outline.height) * length).toBeCloseTo(width, 0);
  }
  await page.getByRole('button', { name: 'Stop showing it' }).click();
  await expect.poll(() => page.locator('.shown').count()).toBe(0);
});

test('the blunt end of the edge angles is pointed at on the unrolled margin as well', async () => {
  await page.getByLabel('Family of measures').selectOption('Edge angle');
  await expect.poll(() => page.locator('.family').count()).toBe(1);
  await showButton('Edge angle: greatest').click();
  await page.locator('.shown-arcs rect').waitFor();
  await expect.poll(() => page.locator('.sheet .shown-dot').count()).toBe(2);
  await page.getByLabel('Family of measures').selectOption('');
  expect(visit.complaints).toEqual([]);
});

test('every row with a value has its picture; a row without one says why', async () => {
  await expect.poll(() => page.locator('.family').count()).toBeGreaterThan(5);
  const rows = () =>
    page.locator('tr[data-measure]').evaluateAll((all) =>
      all.map((row) => ({
        id: (row as HTMLElement).dataset.measure,
        picture: row.querySelector('.row-show svg path') !== null,
        none: row.querySelector('.amount')?.textContent?.startsWith('0') ?? false,
        reason: row.querySelector('.reason')?.textContent ?? '',
      })),
    );
  expect((await rows()).length).toBeGreaterThan(150);
  // Pictures are drawn when the page has time for it.
  await expect
    .poll(async () =>
      (await rows()).filter(({ picture, reason, none }) => !picture && reason === '' && !none),
    )
    .toEqual([]);
});
