/**
 * `npm run haul -- [500]`: measures so many pieces one after another in one page, and says how the heap of its scripts and
 * the number of its WebGL objects grow. Fails where a piece leaves more behind than its record and pictures.
 */
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const COUNT = Number(process.argv[2] ?? 500);
/** Pieces after which nothing more is made on first use. */
const WARM = Math.min(5, Math.floor(COUNT / 2));
/** What a measured piece may keep in the page, MB: its numbers on the heap, its record and pictures packed beside it. */
const MOST_KEPT_MB = 0.15;
const MOST_BESIDE_MB = 0.5;

const { module } = await runnerImport(here('./workbench.ts'));
const workbench = await module.openWorkbench();
const { page, close } = await workbench.visit();
const session = await page.context().newCDPSession(page);
await page.addInitScript(() => {
  // By drawing context: what a context that was given back had goes with it.
  const contexts = new Map();
  window.living = () => {
    const sum = { Context: 0 };
    for (const [reference, made] of contexts) {
      const context = reference.deref();
      if (context === undefined || context.isContextLost()) {
        contexts.delete(reference);
        continue;
      }
      sum.Context += 1;
      for (const [what, count] of Object.entries(made)) sum[what] = (sum[what] ?? 0) + count;
    }
    return sum;
  };
  const known = new WeakMap();
  const count = (context, what, by) => {
    let made = known.get(context);
    if (made === undefined) {
      made = {};
      known.set(context, made);
      contexts.set(new WeakRef(context), made);
    }
    made[what] = (made[what] ?? 0) + by;
  };
  for (const what of ['Buffer', 'Texture', 'Program', 'VertexArray', 'Framebuffer']) {
    const { [`create${what}`]: create, [`delete${what}`]: remove } = WebGL2RenderingContext.prototype;
    WebGL2RenderingContext.prototype[`create${what}`] = function () {
      count(this, what, 1);
      return create.call(this);
    };
    WebGL2RenderingContext.prototype[`delete${what}`] = function (object) {
      if (object) count(this, what, -1);
      return remove.call(this, object);
    };
  }
});
await page.reload();
await page.waitForSelector('h1');

async function look() {
  await session.send('HeapProfiler.collectGarbage');
  const { usedSize, backingStorageSize = 0 } = await session.send('Runtime.getHeapUsage');
  return {
    heap: usedSize / 2 ** 20,
    beside: backingStorageSize / 2 ** 20,
    made: await page.evaluate(() => window.living()),
  };
}

const scan = join(here('../..'), 'sample-scans/qt-41-18-small-point.stl');
let first;
for (let k = 1; k <= COUNT; k++) {
  await page.setInputFiles('input[type=file]', scan);
  await module.untilMeasured(page);
  if (k === WARM) first = await look();
  if (k % 10 === 0 || k === COUNT) {
    const { heap, beside, made } = await look();
    console.log(
      `${k} pieces: heap ${heap.toFixed(1)} MB, buffers ${beside.toFixed(1)} MB, WebGL ${JSON.stringify(made)}`,
    );
  }
}
const last = await look();
const perPiece = (last.heap - first.heap) / (COUNT - WARM);
const besidePerPiece = (last.beside - first.beside) / (COUNT - WARM);
const more = Object.keys(last.made).filter((what) => last.made[what] > (first.made[what] ?? 0) + 4);
console.log(
  `${perPiece.toFixed(3)} MB of heap and ${besidePerPiece.toFixed(3)} MB of buffers a piece; WebGL objects that grew: ${more.join(', ') || 'none'}`,
);
await close();
await workbench.close();
const isLight = perPiece <= MOST_KEPT_MB && besidePerPiece <= MOST_BESIDE_MB;
process.exitCode = isLight && more.length === 0 ? 0 : 1;
