/** The Node build under dist/node and whether it is that of the present source. Node built-ins only. */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './ensure.mjs';

export const NODE_BUILD = join(ROOT, 'dist/node');
/** File in the build that names the source it was made from. */
export const SOURCE_MARK = 'source.sha256';

const PARTS = [
  'src',
  'workers',
  'docs/specimen.schema.json',
  'package-lock.json',
  'package.json',
  'vite.config.ts',
];

/** SHA-256 over the names and bytes of everything that goes into the build, the page left out. */
export function sourceHash() {
  const hash = createHash('sha256');
  for (const path of PARTS.flatMap((part) => filesUnder(part)))
    hash.update(`${path}\0`).update(readFileSync(join(ROOT, path)));
  return hash.digest('hex');
}

/** Builds unless the build is that of the present source. Built aside and moved in, so that no run meets half of it. */
export function ensureBuilt() {
  const mark = join(NODE_BUILD, SOURCE_MARK);
  if (existsSync(mark) && (isNewest(mark) || readFileSync(mark, 'utf8') === sourceHash())) return;
  console.error('Building the command line …');
  const aside = `${NODE_BUILD}.${process.pid}`;
  const vite = join(ROOT, 'node_modules/vite/bin/vite.js');
  const args = [vite, 'build', '--mode', 'node', '--logLevel', 'error', '--outDir', aside];
  const result = spawnSync(process.execPath, args, {
    cwd: ROOT,
    stdio: ['ignore', process.stderr, process.stderr],
  });
  if (result.status !== 0) {
    rmSync(aside, { recursive: true, force: true });
    throw new Error('the command line could not be built: see above');
  }
  const old = `${aside}.old`;
  if (existsSync(NODE_BUILD)) renameSync(NODE_BUILD, old);
  renameSync(aside, NODE_BUILD);
  rmSync(old, { recursive: true, force: true });
}

/** Nothing that goes into the build was touched since it began, no folder either: told far sooner than all of it is read. */
function isNewest(mark) {
  const began = statSync(mark).mtimeMs;
  const untouched = (part) => {
    if (part === 'src/app') return true;
    const entry = statSync(join(ROOT, part));
    if (entry.mtimeMs >= began) return false;
    return (
      !entry.isDirectory() || readdirSync(join(ROOT, part)).every((name) => untouched(`${part}/${name}`))
    );
  };
  return PARTS.every(untouched);
}

function filesUnder(part) {
  const entries = part === 'src/app' ? [] : readIfFolder(part);
  return entries === undefined ? [part] : entries.flatMap((name) => filesUnder(`${part}/${name}`));
}

/** Sorted names in a folder; undefined for a file. */
function readIfFolder(part) {
  try {
    return readdirSync(join(ROOT, part)).sort();
  } catch {
    return undefined;
  }
}
