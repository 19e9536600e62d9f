/**
 * Makes a bare clone ready: packages as the lock file says; with `--tests` also what the tests drive from outside
 * (a Chromium, Debian's Python with VTK and others, poppler, R, Snakemake). Node built-ins only, since nothing may be installed yet.
 */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { accessSync, constants, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { delimiter, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = join(dirname(fileURLToPath(import.meta.url)), '../..');
const LEAST_NODE = 20;
const CHROMIUM_NAMES = ['chromium', 'chromium-browser', 'google-chrome'];

/** Python modules that outside checks import, by the Debian package that brings them. */
const PYTHON_MODULES = {
  vtkmodules: 'python3-vtk9',
  skimage: 'python3-skimage',
  cv2: 'python3-opencv',
  scipy: 'python3-scipy',
  shapely: 'python3-shapely',
  PIL: 'python3-pil',
};

export function ensureNode() {
  const major = Number(process.versions.node.split('.')[0]);
  if (major < LEAST_NODE) stop(`Knapgauge needs Node ${LEAST_NODE} or newer; this is ${process.version}.`);
}

/** Runs `npm ci` when node_modules is not what the lock file asks for. Quiet when all is well. */
export function ensureInstalled() {
  const text = readFileSync(join(ROOT, 'package-lock.json'), 'utf8');
  const lock = createHash('sha256').update(text).digest('hex');
  const mark = join(ROOT, 'node_modules/.ensured');
  if (existsSync(mark) && readFileSync(mark, 'utf8') === lock) return;
  if (!holds(JSON.parse(text).packages)) {
    console.error('Installing packages (npm ci) …');
    const result = runNpm(['ci', '--no-fund', '--no-audit', '--loglevel=error']);
    if (result.status !== 0) stop('npm ci failed: see above. Is there a connection to the package registry?');
  }
  writeFileSync(mark, lock);
}

/** node_modules has every package of the lock file in its version, as npm itself notes there. Optional ones may lack. */
function holds(wanted) {
  const note = join(ROOT, 'node_modules/.package-lock.json');
  if (!existsSync(note)) return false;
  const { packages } = JSON.parse(readFileSync(note, 'utf8'));
  return Object.entries(wanted).every(
    ([path, { version, optional }]) => path === '' || optional || packages[path]?.version === version,
  );
}

/** npm by the very program that runs us when it does, else by name. Its words go to stderr: stdout is ours. */
function runNpm(args) {
  const npm = process.env.npm_execpath;
  const options = { cwd: ROOT, stdio: ['ignore', process.stderr, process.stderr] };
  if (npm?.endsWith('.js')) return spawnSync(process.execPath, [npm, ...args], options);
  return spawnSync(process.platform === 'win32' ? 'npm.cmd' : 'npm', args, {
    ...options,
    shell: process.platform === 'win32',
  });
}

/** Path of a Chromium, or undefined. `CHROMIUM_PATH` comes first. */
export function findChromium() {
  const named = process.env.CHROMIUM_PATH;
  return [...(named ? [named] : []), ...CHROMIUM_NAMES.map(findProgram)].find(
    (path) => path && isExecutable(path),
  );
}

/** Everything that `npm test` calls outside of node_modules; installed from Debian where that is allowed. */
export function ensureTestTools() {
  const missing = missingTools();
  if (missing.length === 0) return;
  const root = process.getuid?.() === 0;
  if (!root || !findProgram('apt-get')) stop(instruction(missing));
  console.error(`Installing for the tests: ${missing.join(' ')} …`);
  const apt = (...args) =>
    spawnSync('apt-get', args, {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    });
  apt('update', '-qq');
  apt('install', '-y', '-qq', '--no-install-recommends', ...missing);
  const still = missingTools();
  if (still.length > 0) stop(instruction(still));
}

/** Debian packages whose tools are not there. */
function missingTools() {
  const missing = findChromium() ? [] : ['chromium'];
  if (!findProgram('pdftoppm')) missing.push('poppler-utils');
  if (!findProgram('rsvg-convert')) missing.push('librsvg2-bin');
  if (!findProgram('Rscript')) missing.push('r-base-core');
  if (!findProgram('snakemake')) missing.push('snakemake');
  const found = existsSync('/usr/bin/python3') ? pythonModules() : [];
  for (const [module, name] of Object.entries(PYTHON_MODULES))
    if (!found.includes(module)) missing.push(name);
  return missing;
}

function pythonModules() {
  const program = `import importlib.util as u\nfor m in ${JSON.stringify(Object.keys(PYTHON_MODULES))}:\n  if u.find_spec(m): print(m)`;
  return spawnSync('/usr/bin/python3', ['-c', program], { encoding: 'utf8' }).stdout.split('\n');
}

function instruction(missing) {
  const chromium = missing.includes('chromium') ? ' (or set CHROMIUM_PATH to a Chromium or Chrome)' : '';
  return `The tests need these Debian packages: sudo apt-get install -y ${missing.join(' ')}${chromium}`;
}

function findProgram(name) {
  return (process.env.PATH ?? '')
    .split(delimiter)
    .map((folder) => join(folder, name))
    .find(isExecutable);
}

function isExecutable(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

function stop(sentence) {
  console.error(sentence);
  process.exit(1);
}

if (process.argv[1] && fileURLToPath(import.meta.url) === process.argv[1]) {
  ensureNode();
  ensureInstalled();
  if (process.argv.includes('--tests')) ensureTestTools();
}
