/**
 * `npm run fuzz -- [--minutes 1] [--seed 7] [--reader ply,stl]`: spoilt files for every reader, for so many minutes each,
 * in processes that are watched from outside. Failing bytes are written to tests/fuzz/found, where `npm test` takes them up.
 */
import { fork } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { parseArgs } from 'node:util';
import { build } from 'vite';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const out = here('../output/fuzz');
/** Longer than the time that a case may take by its own clock: what exceeds this hangs. */
const HANGS_MS = 12_000;
/** After so many faults of one reader the rest would say the same. */
const ENOUGH = 10;

const { values } = parseArgs({
  options: {
    minutes: { type: 'string', default: '1' },
    seed: { type: 'string', default: String(Date.now() % 1_000_000) },
    reader: { type: 'string' },
  },
});

async function main() {
  await build({
    root: here('../..'),
    configFile: false,
    logLevel: 'warn',
    define: { __COMMIT__: '"fuzz"' },
    build: {
      ssr: here('./child.ts'),
      target: 'node20',
      outDir: out,
      rolldownOptions: { output: { entryFileNames: 'child.js' } },
    },
    ssr: { external: true },
  });
  const { READERS, bytesOf } = await import(pathToFileURL(join(out, 'child.js')).href);
  const seed = Number(values.seed);
  console.log(`seed ${seed}, ${values.minutes} min for each reader`);
  let faults = 0;
  for (const reader of values.reader?.split(',') ?? READERS) faults += await fuzz(reader, seed, bytesOf);
  process.exitCode = faults === 0 ? 0 : 1;
}

/** One reader, through as many processes as faults need. Resolves to the number of faults. */
async function fuzz(reader, seed, bytesOf) {
  const until = Date.now() + 60_000 * Number(values.minutes);
  let from = -1000;
  let faults = 0;
  let cases = 0;
  let refused = 0;
  const fault = (number, what, why) => {
    faults += 1;
    const file = join(here('./found'), `${reader}--seed${seed}-case${number < 0 ? `h${-number}` : number}`);
    const { bytes } = bytesOf(reader, seed, number);
    if (bytes.length < 100_000) writeFileSync(file, bytes);
    console.error(`\n${reader}, ${what}: ${why}`);
  };
  while (from !== undefined && faults < ENOUGH) {
    const end = await runChild({ reader, seed, from, until }, fault);
    cases += end.cases;
    refused += end.refused;
    from = end.next;
  }
  console.log(`${reader.padEnd(14)} ${cases} cases, ${refused} refused, ${faults} faults`);
  return faults;
}

function runChild(order, fault) {
  return new Promise((resolve) => {
    const child = fork(here('./child.mjs'), [join(out, 'child.js'), JSON.stringify(order)], {
      execArgv: ['--max-old-space-size=2048'],
    });
    let at = order.from;
    let what = 'start';
    let hung = false;
    let cases = 0;
    let refused = 0;
    let done = false;
    let timer;
    const wind = () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        hung = true;
        child.kill('SIGKILL');
      }, HANGS_MS);
    };
    wind();
    child.on('message', (told) => {
      wind();
      if ('failed' in told) fault(told.failed, told.what, told.why);
      else if ('slow' in told) console.log(`${order.reader}, ${told.what}: ${told.slow.toFixed(1)} s`);
      else if ('done' in told) {
        done = true;
        cases = told.cases;
        refused = told.refused;
      } else ({ at, what } = told);
    });
    child.on('exit', (code, signal) => {
      clearTimeout(timer);
      if (done) return resolve({ cases, refused, next: undefined });
      fault(at, what, hung ? `hangs for over ${HANGS_MS / 1000} s` : `ends the process (${code ?? signal})`);
      resolve({ cases: at - order.from, refused, next: at + 1 });
    });
  });
}

await main();
