/** Runs of `knapgauge drawer` over many small scans, with what each cost. */
import { execFile } from 'node:child_process';
import { linkSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';

const run = promisify(execFile);
const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const PROGRAM = here('../../src/cli/knapgauge.mjs');

/**
 * A drawer of `count` scans (about 50 000 triangles each; eight different ones, again and again) on one core and on two, a
 * tenth of it, and the whole once more when it is finished. `folder` holds everything; `scans` are the eight files.
 * Times in ms, memory and disk in bytes.
 */
export async function drawerRuns(folder, scans, count) {
  const [many, few] = [shelf(folder, scans, count), shelf(folder, scans, Math.ceil(count / 10))];
  await account(2, few, fresh(folder, 'warm'));
  const one = await account(1, many, fresh(folder, 'one'));
  const small = await account(2, few, fresh(folder, 'few'));
  const out = fresh(folder, 'two');
  const two = await account(2, many, out);
  const resume = await account(2, many, out);
  // The whole as a part of one, so that merging it writes every table again.
  const run = JSON.parse(readFileSync(join(out, 'run.json'), 'utf8'));
  writeFileSync(join(out, 'run.json'), JSON.stringify({ ...run, shard: { k: 1, n: 1 } }));
  const merge = await accountOf(1, ['merge', out, '--out', fresh(folder, 'merged')]);
  return { count, few: Math.ceil(count / 10), one, two, small, resume, merge, disk: diskOf(out) };
}

function shelf(folder, scans, count) {
  const path = fresh(folder, `shelf-${count}`);
  mkdirSync(path, { recursive: true });
  for (let k = 0; k < count; k++)
    linkSync(scans[k % scans.length], join(path, `${String(k).padStart(4, '0')}.ply`));
  return path;
}

function fresh(folder, name) {
  const path = join(folder, name);
  rmSync(path, { recursive: true, force: true });
  return path;
}

/** A run of the drawer on so many cores. */
export function account(cores, scans, out) {
  const args = ['drawer', scans, '--out', out, '--unit', 'mm', '--jobs', String(cores), '--quiet'];
  return accountOf(cores, args);
}

/** Runs a command on so many cores (util-linux's taskset holds it there). */
async function accountOf(cores, args) {
  const list = cores === 1 ? '0' : `0-${cores - 1}`;
  const { stdout } = await run(
    '/usr/bin/python3',
    [here('./account.py'), 'taskset', '--cpu-list', list, process.execPath, PROGRAM, ...args],
    { maxBuffer: 1 << 24 },
  );
  const cost = JSON.parse(stdout.trim().split('\n').at(-1));
  if (cost.code !== 0) throw new Error(`knapgauge ended with ${cost.code}: ${stdout}`);
  return cost;
}

/** Bytes of records, sheets and of everything beside the pieces. */
function diskOf(out) {
  const sizes = (folder, ends) =>
    readdirSync(folder, { withFileTypes: true })
      .filter((entry) => entry.isFile() && ends(entry.name))
      .reduce((sum, { name }) => sum + statSync(join(folder, name)).size, 0);
  const pieces = join(out, 'pieces');
  return {
    records: sizes(pieces, (name) => name.endsWith('.specimen.json')),
    sheets: sizes(pieces, (name) => name.endsWith('.sheet.svg')),
    tables: sizes(out, () => true),
  };
}

/** The targets that a drawer is held to. */
export function drawerRatios({ count, few, one, two, small, resume }) {
  return [
    [`drawer of ${count} small scans: pieces a second on two cores / one`, one.ms / two.ms, '≥', 1.7],
    [`drawer: peak memory with ${count} scans / with ${few}`, two.peak / small.peak, '≤', 1.2],
    [`finished drawer of ${count}: time of a resume / of the run`, resume.ms / two.ms, '≤', 0.02],
  ];
}
