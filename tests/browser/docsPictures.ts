import { join } from 'node:path';
import type { Page } from 'playwright-core';
import sharp from 'sharp';
import { ROOT } from '../../src/cli/ensure.mjs';
import { openWorkbench, untilMeasured, type Visit } from './workbench.ts';

const FOLDER = join(ROOT, 'docs/pictures');
const SIZE = { width: 1280, height: 800 };
const COLOURS = 128;

/** Every picture of the tutorial, in its order, from the built page with the demo drawer. */
const PICTURES: Readonly<Record<string, (page: Page, origin: string) => Promise<void>>> = {
  'tutorial-drawer': async (page) => {
    // All cards have their picture and size, or say why not.
    await page.locator('.card').first().waitFor();
    const cards = await page.locator('.card').count();
    await page
      .locator('.card-size, .card-fault')
      .nth(cards - 1)
      .waitFor({ timeout: 240_000 });
  },
  'tutorial-bench': (page, origin) => onBench(page, origin, 'qt-41-3-late-biface'),
  'tutorial-hump': (page, origin) => onBench(page, origin, 'qt-41-7-humped-preform'),
  'tutorial-lineup': async (page, origin) => {
    await page.goto(`${origin}/#/lineup/scatter`);
    await page.locator('.figure svg').first().waitFor();
    // Lines are laid out once the type is there.
    await page.waitForTimeout(500);
  },
  'tutorial-plate': async (page, origin) => {
    await onBench(page, origin, 'qt-41-7-humped-preform');
    await page.getByRole('link', { name: 'Plate' }).click();
    await page.locator('.plate-preview img').waitFor();
    await page.locator('.plate-preview[aria-busy="false"]').waitFor();
  },
};

async function onBench(page: Page, origin: string, id: string): Promise<void> {
  await page.goto(`${origin}/#/bench/${id}`);
  await untilMeasured(page);
  await page.waitForTimeout(1500);
}

/** Takes the pictures and returns their paths. Throws if the page complained. */
export async function takePictures(): Promise<string[]> {
  const workbench = await openWorkbench();
  try {
    const visit: Visit = await workbench.visit({ viewport: SIZE });
    const paths: string[] = [];
    for (const [name, ready] of Object.entries(PICTURES)) {
      await ready(visit.page, workbench.origin);
      const path = join(FOLDER, `${name}.png`);
      await sharp(await visit.page.screenshot())
        .png({ palette: true, colours: COLOURS, effort: 10 })
        .toFile(path);
      paths.push(path);
    }
    if (visit.complaints.length > 0) throw new Error(visit.complaints.join('\n'));
    await visit.close();
    return paths;
  } finally {
    await workbench.close();
  }
}
