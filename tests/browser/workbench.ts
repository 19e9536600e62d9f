import { existsSync, mkdirSync } from 'node:fs';
import type { Server } from 'node:http';
import { join } from 'node:path';
import { type Browser, type BrowserContextOptions, chromium, type Page, type Request } from 'playwright-core';
import { type PreviewServer, preview } from 'vite';
import { findChromium, ROOT } from '../../src/cli/ensure.mjs';
import { bringMeasuredDemo, serveMeasuredDemo } from './measuredDemo.ts';
import { humpedPiece, toPly } from './scans.ts';

/** Screenshots and other things to look at; not kept in the repository. */
export const OUTPUT = join(ROOT, 'tests/output');

export const ARGUMENTS = [
  '--no-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  // There is no graphics card where tests run: Chromium draws WebGL by itself.
  '--enable-unsafe-swiftshader',
];

/** No WebGL, as on remote desktops: much quicker where there is no graphics card. */
export const NO_GRAPHICS = '--disable-3d-apis';

/** The built page, served as `npm start` serves it, and a real browser to look at it. */
export interface Workbench {
  readonly origin: string;
  /** A fresh browser profile that finds the demo drawer measured. */
  visit(options?: BrowserContextOptions): Promise<Visit>;
  /** A fresh browser profile that has nothing. */
  firstVisit(): Promise<Visit>;
  /** Unplugs the page's own server; the browser stays. */
  stopServing(): Promise<void>;
  close(): Promise<void>;
}

/** One visit, with everything that should not have happened. */
export interface Visit {
  readonly page: Page;
  /** Errors on the console, uncaught errors, requests that failed. */
  readonly complaints: string[];
  /** Requests to another origin than the page's own. */
  readonly foreign: string[];
  shoot(name: string): Promise<void>;
  close(): Promise<void>;
}

/** @param graphics false for a browser that draws no WebGL */
export async function openWorkbench({ graphics = true } = {}): Promise<Workbench> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error('no Chromium: run `node src/cli/ensure.mjs --tests`');
  if (!existsSync(join(ROOT, 'dist/page/index.html'))) throw new Error('no built page: run `npm run build`');
  mkdirSync(OUTPUT, { recursive: true });
  const server: PreviewServer = await preview({
    root: ROOT,
    configFile: join(ROOT, 'vite.config.ts'),
    logLevel: 'error',
    plugins: [serveMeasuredDemo()],
    // Port 0 lets the system find a free one.
    preview: { port: 0, host: '127.0.0.1' },
  });
  const address = server.httpServer.address();
  if (address === null || typeof address === 'string') throw new Error('the preview server has no port');
  const origin = `http://127.0.0.1:${address.port}`;
  const browser: Browser = await chromium.launch({
    executablePath,
    headless: true,
    args: graphics ? ARGUMENTS : [...ARGUMENTS, NO_GRAPHICS],
  });
  return {
    origin,
    visit: (options) => visit(browser, origin, (page) => bringMeasuredDemo(page, origin), options),
    firstVisit: () => visit(browser, origin, async () => undefined),
    async stopServing() {
      // Connections that are kept alive would go on answering.
      (server.httpServer as Server).closeAllConnections();
      await server.close();
    },
    async close() {
      await browser.close();
      await server.close();
    },
  };
}

async function visit(
  browser: Browser,
  origin: string,
  before: (page: Page) => Promise<void>,
  options?: BrowserContextOptions,
): Promise<Visit> {
  const context = await browser.newContext({
    viewport: { width: 1440, height: 900 },
    reducedMotion: 'reduce',
    // Each visit is a fresh profile: it would fetch the whole workbench once more to keep it.
    serviceWorkers: 'block',
    ...options,
  });
  const page = await context.newPage();
  await before(page);
  const complaints: string[] = [];
  const foreign: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  /** Times that the page was left, and how often that had been when a request began. */
  let left = 0;
  const begun = new WeakMap<Request, number>();
  page.on('requestfailed', (request) => {
    const error = request.failure()?.errorText;
    // Who leaves a page ends what it is still loading: nothing failed.
    if (error === 'net::ERR_ABORTED' && (begun.get(request) ?? left) < left) return;
    complaints.push(`${request.url()} ${error}`);
  });
  page.on('request', (request) => {
    if (request.isNavigationRequest()) left += 1;
    begun.set(request, left);
    const url = new URL(request.url());
    if (url.protocol.startsWith('http') && url.origin !== origin) foreign.push(request.url());
  });
  await page.goto(origin);
  // It looks through what it has kept before it draws anything, which its load event does not wait for.
  await page.locator('#place').waitFor({ state: 'attached' });
  return {
    page,
    complaints,
    foreign,
    shoot: async (name) => {
      await page.screenshot({ path: join(OUTPUT, `${name}.png`) });
    },
    close: () => {
      left += 1;
      return context.close();
    },
  };
}

/** Waits until the piece on the bench is measured and its ledger is filled. */
export async function untilMeasured(page: Page): Promise<void> {
  // No handle is taken of what is waited for: it would keep the piece, long gone from the page, in its memory.
  await page
    .locator('.bench[data-phase="ready"] .ledger[aria-busy="false"] [data-measure]')
    .first()
    .waitFor({ timeout: 45_000 });
}

/** A workbench with one invented piece with a hump on its bench, measured. */
export async function openHumped(): Promise<{ workbench: Workbench; visit: Visit; page: Page }> {
  const workbench = await openWorkbench();
  const visit = await workbench.visit();
  const { page } = visit;
  const buffer = toPly(humpedPiece(12_000));
  await page.setInputFiles('input[type=file]', { name: 'invented.ply', mimeType: '', buffer });
  await untilMeasured(page);
  return { workbench, visit, page };
}
