import type { Page } from 'playwright-core';
import { DATABASE } from '../../src/app/keep/database.ts';
import { MEASURED_DATABASE, MEASURED_VERSION } from '../../src/app/keep/measuredStore.ts';

/**
 * Leaves `count` measured pieces GEN 1, GEN 2 … in the databases of a page that has the demo drawer measured: their
 * numbers are those of the demo scans in turn, their pictures one small one, their lines are left out. They are there
 * once the page is loaded again, and are not for the bench.
 */
export async function keepMany(page: Page, count: number): Promise<void> {
  await page.evaluate(
    async ({ count, pieces, measured, version }) => {
      const done = <T>(asked: IDBRequest<T>): Promise<T> =>
        new Promise((resolve, reject) => {
          asked.onsuccess = () => resolve(asked.result);
          asked.onerror = () => reject(asked.error);
        });
      const there = await done(indexedDB.open(measured, version));
      const drawer = await done(indexedDB.open(pieces));
      const all = await done(there.transaction('measured').objectStore('measured').getAll());
      const rows = all.filter(({ record }) => JSON.parse(record.light).source.kind === 'scan');
      const canvas = new OffscreenCanvas(120, 240);
      canvas.getContext('2d')?.fillRect(30, 20, 60, 200);
      const image = await canvas.convertToBlob();
      // An empty object, deflated.
      const heavy = Uint8Array.of(0xab, 0xae, 0x05, 0x00);
      const writing = [there.transaction('measured', 'readwrite'), drawer.transaction('pieces', 'readwrite')];
      for (let k = 1; k <= count; k++) {
        const { engine, sha256, settings, record, pictures } = rows[k % rows.length];
        const id = `gen-${k}`;
        writing[0].objectStore('measured').put({
          ...{ id, engine, sha256, settings, mark: '' },
          record: { light: record.light, heavy },
          pictures: { reliefA: { ...pictures.reliefA, image } },
        });
        writing[1].objectStore('pieces').put({
          ...{ id, revision: 1, order: k, fileName: `${id}.ply`, demo: false, removed: false, hand: {} },
          // Titles of one line and of several: rows differ in height.
          title: `Piece ${k}${k % 7 === 0 ? ' whose title takes rather more room than the others do' : ''}`,
          history: { past: [], present: JSON.parse(settings), future: [] },
          catalogue: { number: `GEN ${k}` },
        });
      }
      await Promise.all(
        writing.map(
          (one) =>
            new Promise((resolve, reject) => {
              one.oncomplete = resolve;
              one.onabort = () => reject(one.error);
            }),
        ),
      );
      there.close();
      drawer.close();
    },
    { count, pieces: DATABASE, measured: MEASURED_DATABASE, version: MEASURED_VERSION },
  );
}
