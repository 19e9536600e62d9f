import { createReadStream, existsSync, mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import type { Plugin } from 'vite';
import { MEASURED_DATABASE, MEASURED_VERSION } from '../../src/app/keep/measuredStore.ts';
import { ROOT } from '../../src/cli/ensure.mjs';

/** The demo drawer as the browser keeps it once it is measured: the rows of its database, pictures as data URLs. */
const FILE = join(ROOT, 'tests/output/measured-demo.json');
const DATABASE = { name: MEASURED_DATABASE, version: MEASURED_VERSION };

/** A page of the workbench's own origin that runs nothing of it, and the rows: as an argument they would be wrapped several times. */
const BLANK = '/blank-before-the-visit';
const ROWS = '/measured-demo.json';

/** Serves both beside the built page. */
export function serveMeasuredDemo(): Plugin {
  return {
    name: 'measured-demo',
    configurePreviewServer({ middlewares }) {
      middlewares.use(ROWS, (_, response) => void createReadStream(FILE).pipe(response));
      middlewares.use(BLANK, (_, response) => {
        response.removeHeader('Content-Security-Policy');
        response.setHeader('Content-Type', 'text/html');
        response.end('<!doctype html>');
      });
    },
  };
}

/** Clears away what another build left. */
export function forgetMeasuredDemo(): void {
  rmSync(FILE, { force: true });
}

/** Waits, on a page that shows the demo drawer, until all of it is measured, and leaves it for later visits. */
export async function keepMeasuredDemo(page: Page): Promise<void> {
  await page.waitForFunction(
    () =>
      document.querySelector('.card') !== null &&
      document.querySelectorAll('.card').length ===
        document.querySelectorAll('.card-size, .card-fault').length,
    null,
    { timeout: 300_000 },
  );
  const rows = await page.evaluate(async ({ name, version }) => {
    const done = <T>(asked: IDBRequest<T>): Promise<T> =>
      new Promise((resolve, reject) => {
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
      });
    const plain = async (value: unknown): Promise<unknown> => {
      if (value instanceof Blob) {
        const reader = new FileReader();
        reader.readAsDataURL(value);
        await new Promise((resolve) => {
          reader.onload = resolve;
        });
        return { blob: reader.result };
      }
      if (value instanceof Float32Array) return { floats: [...value] };
      if (value instanceof Uint8Array)
        return { bytes: await plain(new Blob([value as Uint8Array<ArrayBuffer>])) };
      if (Array.isArray(value)) return Promise.all(value.map(plain));
      if (typeof value !== 'object' || value === null) return value;
      const parts = Object.entries(value).map(async ([key, part]) => [key, await plain(part)]);
      return Object.fromEntries(await Promise.all(parts));
    };
    const database = await done(indexedDB.open(name, version));
    const all: unknown[] = await done(database.transaction('measured').objectStore('measured').getAll());
    database.close();
    return JSON.stringify(await plain(all));
  }, DATABASE);
  mkdirSync(join(ROOT, 'tests/output'), { recursive: true });
  writeFileSync(FILE, rows);
}

/**
 * Gives a fresh profile the demo drawer measured, as if it had been here before: each visit would measure it once more
 * beside the test. Does nothing where no run has left it.
 */
export async function bringMeasuredDemo(page: Page, origin: string): Promise<void> {
  if (!existsSync(FILE)) return;
  await page.goto(origin + BLANK);
  await page.evaluate(
    async ({ name, version, from }) => {
      // Without a promise for each number: there are a million.
      const bytesOf = (text: string): Uint8Array<ArrayBuffer> =>
        Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
      const whole = (value: unknown): unknown => {
        if (Array.isArray(value)) return typeof value[0] === 'number' ? value : value.map(whole);
        if (typeof value !== 'object' || value === null) return value;
        if ('blob' in value) {
          const [head, body] = String(value.blob).split(',');
          return new Blob([bytesOf(body)], { type: /:(.*?)[;,]/.exec(`${head},`)?.[1] ?? '' });
        }
        if ('bytes' in value) return bytesOf((value.bytes as { blob: string }).blob.split(',')[1]);
        if ('floats' in value) return Float32Array.from(value.floats as number[]);
        return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, whole(part)]));
      };
      const answer = await fetch(from);
      const all = whole(await answer.json()) as unknown[];
      const asked = indexedDB.open(name, version);
      asked.onupgradeneeded = () => {
        asked.result.createObjectStore('measured', { keyPath: 'id' });
        // Pieces are drawn anew: that is quicker than bringing what is drawn of all of them.
        asked.result.createObjectStore('drawings', { keyPath: 'id' }).createIndex('age', ['at', 'size']);
      };
      await new Promise((resolve, reject) => {
        asked.onsuccess = resolve;
        asked.onerror = () => reject(asked.error);
      });
      const writing = asked.result.transaction('measured', 'readwrite');
      for (const row of all) writing.objectStore('measured').put(row);
      await new Promise((resolve, reject) => {
        writing.oncomplete = resolve;
        writing.onabort = () => reject(writing.error);
      });
      asked.result.close();
    },
    { ...DATABASE, from: ROWS },
  );
}
