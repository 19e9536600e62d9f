import { afterAll, beforeAll, expect, test } from 'vitest';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;

beforeAll(async () => {
  workbench = await openWorkbench();
  visit = await workbench.visit();
  await visit.page.goto(`${workbench.origin}/#/bench/qt-41-9-snapped-biface`);
  await untilMeasured(visit.page);
}, 60_000);

afterAll(async () => {
  await visit.close();
  await workbench.close();
});

/** A main number as the heading shows it, without its unit. */
const shown = async (name: string): Promise<string> =>
  (await visit.page
    .locator('.main-numbers div', { hasText: name })
    .first()
    .locator('.main-value')
    .textContent()) ?? '';

test('what is decided by hand is measured at once, and Undo goes all the way back', async () => {
  const { page } = visit;
  const before = await shown('Length');
  const field = page.getByLabel('Turn, °');
  await field.focus();
  await field.press('ArrowUp');
  await page.waitForFunction(
    (old) => !document.querySelector('.main-numbers')?.textContent?.includes(old),
    before,
  );
  await untilMeasured(page);
  expect(await shown('Length')).not.toBe(before);

  // A break is dragged along the unrolled margin.
  await page.getByRole('button', { name: 'Mark a break' }).click();
  const strip = page.locator('.unrolled .tool-layer');
  const box = await strip.boundingBox();
  if (box === null) throw new Error('no unrolled margin to drag on');
  await page.mouse.move(box.x + 0.4 * box.width, box.y + 40);
  await page.mouse.down();
  await page.mouse.move(box.x + 0.55 * box.width, box.y + 40, { steps: 4 });
  await page.mouse.up();
  await page.locator('.marked-break').waitFor();
  await untilMeasured(page);
  expect(await page.locator('.tool-layer').count()).toBe(0);
  expect(await page.getByLabel('from, mm').count()).toBe(1);

  // Base and tip are clicked on the plan.
  await page.getByRole('button', { name: 'Place the tip' }).click();
  const plan = await page.locator('.sheet .tool-layer').boundingBox();
  const outline = await page.locator('.plan-outline').boundingBox();
  if (plan === null || outline === null) throw new Error('no plan to click on');
  await page.mouse.click(outline.x + 0.7 * outline.width, outline.y + 3);
  await untilMeasured(page);
  expect(await page.getByLabel('Length axis').inputValue()).toBe('tip-base');
  await visit.shoot('by-hand');

  for (let k = 0; k < 3; k++) {
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await untilMeasured(page);
  }
  expect(await shown('Length')).toBe(before);
  expect(await page.getByRole('button', { name: 'Undo', exact: true }).isDisabled()).toBe(true);
  expect(visit.complaints).toEqual([]);
}, 90_000);

test('caliper readings stand beside the computed values, and a mixed-up unit is named', async () => {
  const { page } = visit;
  await page.getByLabel('Length by caliper, mm').fill('7.39');
  await page.getByLabel('Length by caliper, mm').blur();
  await page.locator('.hand-slip').waitFor();
  expect(await page.locator('.hand-slip').textContent()).toContain('centimetres and millimetres');
  await page.getByLabel('Length by caliper, mm').fill('73.9');
  await page.getByLabel('Length by caliper, mm').blur();
  await page.locator('.hand-slip').waitFor({ state: 'detached' });
  expect(visit.complaints).toEqual([]);
}, 60_000);
