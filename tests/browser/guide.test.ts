import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { breaches } from './axe.ts';
import { openWorkbench, type Workbench } from './workbench.ts';

let workbench: Workbench;

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

test('the guided look is walked by keys alone, frames what it tells of, and is found again', async () => {
  const visit = await workbench.visit({ bypassCSP: true });
  const { page } = visit;
  await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
  await page.getByRole('button', { name: 'Guided look, three minutes' }).focus();
  await page.keyboard.press('Enter');
  const count = page.locator('.guide-count');
  await count.waitFor();
  const steps = Number(/of (\d+)/.exec((await count.textContent()) ?? '')?.[1]);
  expect(steps).toBeGreaterThan(6);
  const places = new Set<string>();
  for (let step = 1; step <= steps; step++) {
    await expect.poll(() => count.textContent()).toBe(`Guided look, ${step} of ${steps}`);
    // What the step tells of is there, framed, and not under the card.
    const framed = page.locator('[data-framed]');
    // (Once: what it frames may be drawn anew while its piece is measured, and never are two framed.)
    await expect.poll(() => framed.count(), { timeout: 60_000 }).toBe(1);
    places.add(new URL(page.url()).hash.split('/')[1]);
    if (step === 1 || step === 4 || step === steps) {
      await visit.shoot(`guide-${step}`);
      expect(await breaches(page), `step ${step}`).toEqual([]);
    }
    // The heading has the focus: the next key reaches the first button.
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('guide-title');
    await page.keyboard.press('Tab');
    await page.keyboard.press('Enter');
  }
  expect([...places]).toEqual(['drawer', 'bench', 'lineup']);
  await expect.poll(() => page.locator('.guide, [data-framed]').count()).toBe(0);

  await page.getByRole('button', { name: 'Guided look, three minutes' }).click();
  await count.waitFor();
  await page.keyboard.press('Escape');
  await expect.poll(() => page.locator('.guide').count()).toBe(0);
  await visit.close();
  expect(visit.complaints).toEqual([]);
}, 120_000);
