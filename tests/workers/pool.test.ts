import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import type { FileJob, FileOutcome } from '../../workers/fileJob.ts';
import { runPool } from '../../workers/pool.node.ts';

/** An engine that does to a job what its path says, in place of measuring. */
const ENGINE = (modules: string) => `
import { parentPort, threadId } from 'node:worker_threads';
import * as Comlink from '${modules}/comlink/dist/esm/comlink.mjs';
import nodeEndpoint from '${modules}/comlink/dist/esm/node-adapter.mjs';
async function runFileJob({ path }, progress) {
  if (path === 'exit') process.exit(7);
  if (path === 'crash') setTimeout(() => { throw new Error('out of cheese'); });
  if (path === 'crash') await new Promise(() => {});
  if (path === 'throw') throw new RangeError('too far');
  await progress(0.5, 'half of ' + path);
  const measured = { outputs: [{ ending: '.txt', content: path + ' ' + threadId }], measurements: [], warnings: [] };
  return { ok: true, measured };
}
Comlink.expose({ runFileJob }, nodeEndpoint(parentPort));
`;

let folder: string;
let engine: URL;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'pool-'));
  const modules = pathToFileURL(fileURLToPath(new URL('../../node_modules', import.meta.url))).href;
  await writeFile(join(folder, 'engine.mjs'), ENGINE(modules));
  engine = pathToFileURL(join(folder, 'engine.mjs'));
});

afterAll(() => rm(folder, { recursive: true }));

async function run(paths: readonly string[], size: number) {
  const outcomes = new Map<number, FileOutcome>();
  const steps: string[] = [];
  const jobs = paths.map((path): FileJob => ({ path, settings: DEFAULT_SETTINGS, kinds: [] }));
  await runPool(engine, jobs, size, {
    progress: (_, fraction, step) => steps.push(`${step} ${fraction}`),
    settled: async (index, outcome) => {
      expect(outcomes.has(index)).toBe(false);
      outcomes.set(index, outcome);
    },
  });
  return { outcomes: paths.map((_, i) => outcomes.get(i)), steps };
}

const textOf = (outcome: FileOutcome | undefined): string =>
  outcome?.ok ? String(outcome.measured.outputs[0].content) : `failed: ${outcome?.failure.message}`;

test('every job ends once, over as many threads as asked, with its progress', async () => {
  const { outcomes, steps } = await run(['a', 'b', 'c', 'd', 'e', 'f'], 2);
  expect(outcomes.map((outcome) => textOf(outcome)[0])).toEqual(['a', 'b', 'c', 'd', 'e', 'f']);
  expect(new Set(outcomes.map((outcome) => textOf(outcome).split(' ')[1])).size).toBe(2);
  expect(steps.toSorted()[0]).toBe('half of a 0.5');
  expect(steps.length).toBe(6);
});

test.each([
  ['exit', 'exit code 7'],
  ['crash', 'out of cheese'],
  ['throw', 'too far'],
])('a thread that dies by %s costs its own job alone', async (death, words) => {
  const { outcomes } = await run(['a', death, 'b', death, 'c'], 2);
  expect(textOf(outcomes[1])).toContain(words);
  expect(textOf(outcomes[3])).toContain(words);
  expect([0, 2, 4].map((i) => textOf(outcomes[i])[0])).toEqual(['a', 'b', 'c']);
});

test('no jobs, no threads', async () => {
  expect((await run([], 4)).outcomes).toEqual([]);
});

test('an outcome that was settled is let go while the thread works on', async () => {
  setFlagsFromString('--expose-gc');
  const collect = runInNewContext('gc') as () => void;
  const settled: WeakRef<FileOutcome>[] = [];
  let alive = Number.NaN;
  const jobs = Array.from('abcdefgh', (path): FileJob => ({ path, settings: DEFAULT_SETTINGS, kinds: [] }));
  await runPool(engine, jobs, 1, {
    settled: async (index, outcome) => {
      if (index < jobs.length - 1) return void settled.push(new WeakRef(outcome));
      // What is read of a reference stays to the end of its turn.
      await new Promise((resolve) => setTimeout(resolve, 20));
      collect();
      alive = settled.filter((one) => one.deref() !== undefined).length;
    },
  });
  expect(settled.length).toBe(jobs.length - 1);
  expect(alive).toBeLessThanOrEqual(1);
});
