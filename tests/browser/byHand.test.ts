import { afterAll, beforeAll, expect, test } from 'vitest';
import { openWorkbench, untilMeasured, type Visit, type Workbench } from './workbench.ts';

let workbench: Workbench;
let visit: Visit;

beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
  visit = await workbench.visit();
  await visit.page.addInitScript(() => {
    // Where things stand, frame by frame, from the moment they are there.
    const SETTLED = 2;
    const places: { tools: number[]; views: number[] } = { tools: [], views: [] };
    Object.assign(window, { places });
    let scrolled = 0;
    const look = (): void => {
      // Somebody goes to the tools as soon as they are there.
      const tools = document.querySelector('.by-hand');
      if (tools !== null && scrolled === 0) tools.scrollIntoView({ block: 'center' });
      if (tools !== null) scrolled += 1;
      if (tools !== null && scrolled > SETTLED) places.tools.push(tools.getBoundingClientRect().top);
      const views = document.querySelector('.bench .views');
      if (views !== null) places.views.push(views.getBoundingClientRect().top);
      requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  });
  await visit.page.goto(`${workbench.origin}/#/bench/qt-41-9-snapped-biface`);
  await visit.page.reload();
  // What the page before had asked for was broken off.
  visit.complaints.length = 0;
  await untilMeasured(visit.page);
}, 60_000);

afterAll(async () => {
  await visit.close();
  await workbench.close();
});

test('nothing moves under the pointer while numbers come in and the ledger draws its rows', async () => {
  const { page } = visit;
  const { tools, views } = await page.evaluate(
    () => (window as unknown as { places: { tools: number[]; views: number[] } }).places,
  );
  expect(tools.length).toBeGreaterThan(3);
  const spread = (places: number[]): number => Math.max(...places) - Math.min(...places);
  // The buttons are 30 px high: what was aimed at is still what is hit.
  expect(spread(tools), `tools at ${[...new Set(tools)].join(', ')} px`).toBeLessThan(15);
  expect(spread(views), `views at ${[...new Set(views)].join(', ')} px`).toBeLessThan(15);
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
  await expect.poll(() => page.locator('.tool-layer').count()).toBe(0);
  await expect.poll(() => page.getByLabel('from, mm').count()).toBe(1);

  // What is to be left out is set with keys alone, and says why.
  await page.getByRole('button', { name: 'Leave out a stretch' }).press('Enter');
  await page.keyboard.press('Home');
  for (const key of ['Enter', 'Shift+ArrowRight', 'Shift+ArrowRight', 'ArrowRight', 'Enter']) {
    await page.keyboard.press(key);
  }
  await page.locator('.marked-excluded').waitFor();
  // The keys go back to where they were.
  expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Leave out a stretch');
  await untilMeasured(page);
  await expect
    .poll(() => page.locator('.marked-excluded title').textContent())
    .toBe('Left out: modern damage');
  await page.getByLabel('why').fill('plough');
  await page.getByLabel('why').press('Enter');
  await expect.poll(() => page.locator('.marked-excluded title').textContent()).toBe('Left out: plough');
  await untilMeasured(page);
  // Both lie on the plan as well, along its outline.
  for (const kind of ['break', 'excluded']) {
    const drawn = await page.locator(`.plan-${kind}`).getAttribute('d');
    expect(drawn?.split('L').length, kind).toBeGreaterThan(5);
  }
  await visit.shoot('left-out');

  // Base and tip are clicked on the plan.
  await page.getByRole('button', { name: 'Place the tip' }).click();
  const plan = await page.locator('.sheet .tool-layer').boundingBox();
  const outline = await page.locator('.plan-outline').boundingBox();
  if (plan === null || outline === null) throw new Error('no plan to click on');
  await page.mouse.click(outline.x + 0.7 * outline.width, outline.y + 3);
  await untilMeasured(page);
  await expect.poll(() => page.getByLabel('Length axis').inputValue()).toBe('tip-base');
  await visit.shoot('by-hand');

  for (let k = 0; k < 5; k++) {
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await untilMeasured(page);
  }
  expect(await shown('Length')).toBe(before);
  await expect.poll(() => page.getByRole('button', { name: 'Undo', exact: true }).isDisabled()).toBe(true);
  expect(visit.complaints).toEqual([]);
});

test('caliper readings stand beside the computed values, and a mixed-up unit is named', async () => {
  const { page } = visit;
  await page.getByLabel('Length by caliper, mm').fill('7.39');
  await page.getByLabel('Length by caliper, mm').blur();
  await page.locator('.hand-slip').waitFor();
  await expect.poll(() => page.locator('.hand-slip').textContent()).toContain('centimetres and millimetres');
  await page.getByLabel('Length by caliper, mm').fill('73.9');
  await page.getByLabel('Length by caliper, mm').blur();
  await page.locator('.hand-slip').waitFor({ state: 'detached' });
  expect(visit.complaints).toEqual([]);
}, 60_000);
