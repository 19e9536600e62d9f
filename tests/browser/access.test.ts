import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

/** What axe-core answers, as far as it is read here. */
interface Findings {
  readonly violations: readonly {
    readonly id: string;
    readonly impact: string | null;
    readonly nodes: readonly { readonly html: string; readonly failureSummary?: string }[];
  }[];
}

let workbench: Workbench;
const scan = toPly(humpedPiece(20_000));

beforeAll(async () => {
  workbench = await openWorkbench();
});
afterAll(() => workbench.close());

/** Breaches of WCAG 2.2 A and AA that axe-core calls serious or critical, as lines to read. */
async function breaches(page: Page): Promise<string[]> {
  const { violations } = await page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(options: object): Promise<Findings> } };
    return axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
  });
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .flatMap(({ id, nodes }) => nodes.map(({ html, failureSummary }) => `${id}: ${html} ${failureSummary}`));
}

const SCREENS = [
  { width: 1440, height: 900 },
  { width: 1024, height: 768 },
] as const;

describe.each(['light', 'dark'] as const)('in %s', (colorScheme) => {
  test.each(SCREENS)('drawer, bench and fault at $width × $height', async (viewport) => {
    const visit = await workbench.visit({ colorScheme, viewport, bypassCSP: true });
    const { page } = visit;
    const name = (place: string): string => `${place}-${viewport.width}-${colorScheme}`;
    const check = async (place: string): Promise<void> => {
      await visit.shoot(name(place));
      expect(await breaches(page), place).toEqual([]);
      // Nothing sticks out sideways.
      const overhang = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overhang, place).toBe(0);
    };
    await page.addScriptTag({ path: join(ROOT, 'node_modules/axe-core/axe.min.js') });
    await check('drawer');
    await page.setInputFiles('input[type=file]', { name: 'invented.ply', mimeType: '', buffer: scan });
    await untilMeasured(page);
    await page.locator('[data-measure="edge.angle.mean"] .row-name').click();
    await check('bench');
    await page.setInputFiles('input[type=file]', {
      name: 'empty.ply',
      mimeType: '',
      buffer: Buffer.alloc(0),
    });
    await page.waitForSelector('[role="alert"]');
    await check('fault');
    await visit.close();
    expect(visit.complaints).toEqual([]);
  });
});
