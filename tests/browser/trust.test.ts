import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ROOT } from '../../src/cli/ensure.mjs';
import { humpedPiece, toPly } from './scans.ts';
import { openWorkbench, untilMeasured, type Workbench } from './workbench.ts';

const SCAN = join(ROOT, 'sample-scans/qt-41-18-small-point.stl');

let workbench: Workbench;
beforeAll(async () => {
  workbench = await openWorkbench({ graphics: false });
});
afterAll(() => workbench.close());

/** Which ways to another origin, or to code that is not the page's own, are open from a page. */
function waysOut(page: Page, elsewhere: string): Promise<string[]> {
  return page.evaluate(async (address) => {
    const loads = (name: string, attributes: Record<string, string>): Promise<boolean> =>
      new Promise((resolve) => {
        const element = document.createElement(name);
        element.addEventListener('load', () => resolve(true));
        element.addEventListener('error', () => resolve(false));
        for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
        document.head.append(element);
      });
    const own = new URL(document.querySelector<HTMLScriptElement>('script[src]')!.src).pathname;
    const inline = document.createElement('script');
    inline.textContent = 'window.ranInline = true';
    document.head.append(inline);
    const evaluates = (): boolean => {
      try {
        return new Function('return true')() as boolean;
      } catch {
        return false;
      }
    };
    const ways: Record<string, boolean> = {
      fetch: await fetch(address, { mode: 'no-cors' }).then(
        () => true,
        () => false,
      ),
      script: await loads('script', { src: address + own }),
      style: await loads('link', { rel: 'stylesheet', href: `${address}/licences.css` }),
      frame: await Promise.race([
        loads('object', { data: `${address}/licences.html` }),
        new Promise<boolean>((resolve) => setTimeout(() => resolve(false), 1000)),
      ]),
      'inline script': 'ranInline' in window,
      eval: evaluates(),
    };
    return Object.keys(ways).filter((way) => ways[way]);
  }, elsewhere);
}

describe('nothing leaves, and what the program is made of is told', () => {
  test('the page’s policy stops every way to another origin; without it, the same ways are open', async () => {
    const visit = await workbench.visit();
    const { close } = visit;
    // The other origin is here as well, so that only the policy can be what stops it.
    const elsewhere = workbench.origin.replace('127.0.0.1', 'localhost');
    expect(await waysOut(visit.page, elsewhere)).toEqual([]);
    await close();
    const unguarded = await workbench.visit({ bypassCSP: true });
    expect(await waysOut(unguarded.page, elsewhere)).toEqual(
      expect.arrayContaining(['fetch', 'script', 'style', 'inline script', 'eval']),
    );
    await unguarded.close();
  });

  test('licences of all that is shipped can be read from the frame', async () => {
    const { page, foreign, complaints, close } = await workbench.visit();
    const [licences] = await Promise.all([
      page.context().waitForEvent('page'),
      page.getByRole('link', { name: 'Licences' }).click(),
    ]);
    await licences.waitForSelector('summary');
    const names = await licences.locator('summary').allTextContents();
    const { dependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    for (const name of Object.keys(dependencies)) {
      expect(names.some((line) => line.startsWith(`${name} `) && !line.endsWith('see the text'))).toBe(true);
    }
    await licences
      .locator('summary', { hasText: /^three / })
      .first()
      .click();
    await expect
      .poll(() => licences.locator('details[open] pre').textContent())
      .toContain('Permission is hereby granted');
    expect(foreign).toEqual([]);
    expect(complaints).toEqual([]);
    await close();
  });

  test('the bill of materials is CycloneDX and names every dependency', () => {
    const bill = JSON.parse(readFileSync(join(ROOT, 'dist/page/bom.cdx.json'), 'utf8'));
    const { dependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    expect(bill.bomFormat).toBe('CycloneDX');
    const named = new Set(bill.components.map(({ purl }: { purl: string }) => decodeURIComponent(purl)));
    for (const name of Object.keys(dependencies))
      expect(
        [...named].some((purl) => String(purl).startsWith(`pkg:npm/${name}@`)),
        name,
      ).toBe(true);
    expect(bill.serialNumber).toBeUndefined();
  });
});

describe('when something gives way under the page', () => {
  test('a worker that dies in the middle of measuring: it is said, and the next piece is measured', async () => {
    const { page, close } = await workbench.visit();
    await page.addInitScript(() => {
      const workers: Worker[] = [];
      const Real = window.Worker;
      window.Worker = class extends Real {
        constructor(url: string | URL, options?: WorkerOptions) {
          super(url, options);
          workers.push(this);
        }
      };
      Object.assign(window, { workers });
    });
    await page.reload();
    const buffer = toPly(humpedPiece(150_000));
    await page.setInputFiles('input[type=file]', { name: 'large.ply', mimeType: '', buffer });
    await page.waitForSelector('.progress');
    await page.waitForFunction(
      () => document.querySelector<HTMLProgressElement>('.progress progress')!.value > 5,
    );
    // As when the system takes its memory: no event, no last word.
    await page.evaluate(() => {
      for (const worker of (window as unknown as { workers: Worker[] }).workers) worker.terminate();
    });
    await page.getByText('The part of the program that measures has stopped').waitFor({ timeout: 10_000 });
    await page.setInputFiles('input[type=file]', SCAN);
    await untilMeasured(page);
    await close();
  }, 90_000);

  test('a scan that memory may not suffice for: it is said before it starts, and tried whole where one insists', async () => {
    const { page, shoot, close } = await workbench.visit();
    await page.addInitScript(() => {
      // The least that a browser ever tells of.
      Object.defineProperty(navigator, 'deviceMemory', { get: () => 0.25 });
    });
    await page.reload();
    await page.setInputFiles('input[type=file]', SCAN);
    await page
      .getByText(/about 27.thousand triangles and may need 0\.13.GB of memory; this page may have 0\.13.GB/)
      .waitFor();
    await shoot('memory');
    await page.getByRole('button', { name: 'Try whole' }).click();
    await untilMeasured(page);
    await expect.poll(() => page.getByRole('button', { name: 'Try whole' }).count()).toBe(0);
    await close();
  }, 60_000);

  test('a full disk: what is not kept is said, and the page goes on', async () => {
    const { page, close } = await workbench.visit();
    await page.addInitScript(() => {
      IDBObjectStore.prototype.put = () => {
        throw new DOMException('full', 'QuotaExceededError');
      };
    });
    await page.reload();
    await page.setInputFiles('input[type=file]', SCAN);
    await untilMeasured(page);
    await page.waitForSelector('.keep-state[data-state="failed"]');
    await expect.poll(() => page.locator('.keep-state').textContent()).toMatch(/full|not kept/i);
    await page.getByRole('button', { name: 'Swap ends' }).click();
    await untilMeasured(page);
    await close();
  }, 60_000);

  test('storage wiped under the page: what is changed next is kept afresh, scan and all that is known of the piece', async () => {
    const { page, close } = await workbench.visit();
    await page.setInputFiles('input[type=file]', SCAN);
    await untilMeasured(page);
    await page.waitForSelector('.keep-state[data-state="kept"]');
    const session = await page.context().newCDPSession(page);
    await session.send('Storage.clearDataForOrigin', { origin: workbench.origin, storageTypes: 'all' });
    await page.getByLabel('Notes').fill('after the wipe');
    await page.getByLabel('Notes').blur();
    await page.waitForFunction(
      () => document.querySelector('.keep-state')?.getAttribute('data-state') !== 'saving',
    );
    const state = await page.locator('.keep-state').getAttribute('data-state');
    const address = page.url();
    await page.goto('about:blank');
    await page.goto(address);
    if (state === 'kept') {
      await page.getByLabel('Notes').waitFor();
      await expect.poll(() => page.getByLabel('Notes').inputValue()).toBe('after the wipe');
      await untilMeasured(page);
    }
    expect(state).toBe('kept');
    await close();
  }, 60_000);
});
