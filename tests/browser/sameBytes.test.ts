import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { build, type Rolldown } from 'vite';
import { expect, test } from 'vitest';
import { findChromium, ROOT } from '../../src/cli/ensure.mjs';
import type { Output } from '../../workers/outputs.ts';
import { measureText } from './engineEntry.ts';

/** The last of them thinned, by WebAssembly in both. */
const SCANS: readonly (readonly [name: string, thin?: number])[] = [
  ['qt-41-4-notched-point.glb'],
  ['qt-41-18-small-point.stl'],
  ['qt-41-18-small-point.stl', 10_000],
];

/** The engine as one script for a page, unminified, made from the same source as this process runs. */
async function engineScript(): Promise<string> {
  const built = (await build({
    root: ROOT,
    configFile: false,
    logLevel: 'error',
    define: { __COMMIT__: JSON.stringify(__COMMIT__) },
    build: {
      write: false,
      minify: false,
      lib: { entry: join(ROOT, 'tests/browser/engineEntry.ts'), formats: ['es'], fileName: 'engine' },
    },
  })) as Rolldown.RolldownOutput[];
  return built[0].output[0].code;
}

declare const __COMMIT__: string;

test('the browser and Node write the same bytes for the same scan', async () => {
  const script = await engineScript();
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error('no Chromium: run `node src/cli/ensure.mjs --tests`');
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  try {
    const page = await browser.newPage();
    // A secure context, which SHA-256 by WebCrypto asks for, without a server.
    await page.route('http://localhost/**', (route) =>
      route.fulfill({ contentType: 'text/html', body: '<!doctype html>' }),
    );
    await page.goto('http://localhost/');
    await page.addScriptTag({ content: script, type: 'module' });
    await page.waitForFunction(() => 'measureText' in globalThis);
    for (const [name, thin] of SCANS) {
      const bytes = readFileSync(join(ROOT, 'sample-scans', name));
      const inPage = await page.evaluate(
        async ({ base64, name, thin }) => {
          const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
          const { measureText } = globalThis as unknown as {
            measureText(bytes: Uint8Array, name: string, thin?: number): Promise<Output[]>;
          };
          return measureText(bytes, name, thin);
        },
        { base64: bytes.toString('base64'), name, thin },
      );
      const here = await measureText(bytes, name, thin);
      expect(inPage.map(({ ending }) => ending)).toEqual(here.map(({ ending }) => ending));
      for (const [i, { ending, content }] of here.entries())
        expect(inPage[i].content === content, name + ending).toBe(true);
    }
  } finally {
    await browser.close();
  }
});
