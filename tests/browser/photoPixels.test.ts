import { join } from 'node:path';
import { chromium, type Page } from 'playwright-core';
import sharp, { type Sharp } from 'sharp';
import { build, type Rolldown } from 'vite';
import { expect, test } from 'vitest';
import { findChromium, ROOT } from '../../src/cli/ensure.mjs';
import { decodeInNode } from '../../src/intake/photoNode.ts';
import { readPhoto } from '../../src/intake/photoRead.ts';
import { makePhoto } from '../pieces/photo.ts';

async function script(): Promise<string> {
  const built = (await build({
    root: ROOT,
    configFile: false,
    logLevel: 'error',
    build: {
      write: false,
      minify: false,
      rolldownOptions: { output: { codeSplitting: false } },
      lib: { entry: join(ROOT, 'tests/browser/photoEntry.ts'), formats: ['es'], fileName: 'photo' },
    },
  })) as Rolldown.RolldownOutput[];
  return built[0].output[0].code;
}

interface Read {
  readonly width: number;
  readonly height: number;
  readonly rgba: ArrayLike<number>;
}

async function inBrowser(page: Page, bytes: Uint8Array): Promise<Read> {
  return page.evaluate(async (base64) => {
    const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
    const { photoPixels } = globalThis as unknown as { photoPixels(bytes: Uint8Array): Promise<Read> };
    return photoPixels(bytes);
  }, Buffer.from(bytes).toString('base64'));
}

/** Files of many kinds of one small photograph, and how far apart two decoders may be, 8-bit steps. */
async function files(): Promise<readonly (readonly [name: string, bytes: Uint8Array, apart: number])[]> {
  const { pixels } = makePhoto({
    mat: 'A4',
    camera: { width: 122, height: 91, focal: 100, distance: 300, tilt: 10 },
    light: { backdrop: 'wood' },
    seed: 4,
  });
  const raw = { width: pixels.width, height: pixels.height, channels: 4 } as const;
  const picture = (): Sharp => sharp(Buffer.from(pixels.rgba.buffer), { raw }).removeAlpha();
  const clear = Buffer.from(pixels.rgba.buffer.slice(0));
  for (let i = 3; i < clear.length; i += 4) clear[i] = (i >> 2) % 122 < 40 ? 0 : 255;
  return [
    ['JPEG', await picture().jpeg({ quality: 90 }).toBuffer(), 1],
    [
      'JPEG without subsampling, progressive',
      await picture().jpeg({ chromaSubsampling: '4:4:4', progressive: true }).toBuffer(),
      1,
    ],
    ['JPEG on its side', await picture().withMetadata({ orientation: 6 }).jpeg().toBuffer(), 1],
    ['JPEG, grey', await picture().greyscale().jpeg().toBuffer(), 1],
    [
      'JPEG with a wide profile',
      await picture().withIccProfile('p3').jpeg({ chromaSubsampling: '4:4:4' }).toBuffer(),
      3,
    ],
    ['PNG', await picture().png().toBuffer(), 0],
    ['PNG on its head', await picture().withMetadata({ orientation: 3 }).png().toBuffer(), 0],
    ['PNG with a mask', await sharp(clear, { raw }).png().toBuffer(), 0],
    ['PNG of 16 bits', await picture().toColourspace('rgb16').png().toBuffer(), 1],
    [
      'WebP without loss, mirrored',
      await picture().withMetadata({ orientation: 5 }).webp({ lossless: true }).toBuffer(),
      0,
    ],
    ['WebP', await picture().webp({ quality: 85 }).toBuffer(), 1],
    [
      'TIFF',
      await picture().withMetadata({ orientation: 8 }).tiff({ compression: 'lzw', tile: true }).toBuffer(),
      0,
    ],
  ];
}

test('the browser and Node see the same pixels of the same file', async () => {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error('no Chromium: run `node src/cli/ensure.mjs --tests`');
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  try {
    const page = await browser.newPage();
    await page.route('http://localhost/**', (route) =>
      route.fulfill({ contentType: 'text/html', body: '<!doctype html>' }),
    );
    await page.goto('http://localhost/');
    await page.addScriptTag({ content: await script(), type: 'module' });
    await page.waitForFunction(() => 'photoPixels' in globalThis);
    for (const [name, bytes, apart] of await files()) {
      const there = await inBrowser(page, bytes);
      const here = await readPhoto(bytes, decodeInNode);
      expect([there.width, there.height], name).toEqual([here.width, here.height]);
      let most = 0;
      for (let i = 0; i < here.rgba.length; i++) {
        // What is wholly clear has no colour: a canvas keeps none.
        if (here.rgba[i | 3] > 0) most = Math.max(most, Math.abs(there.rgba[i] - here.rgba[i]));
      }
      expect(most, name).toBeLessThanOrEqual(apart);
    }
  } finally {
    await browser.close();
  }
});
