/**
 * `npm run bench`: how fast the scan job is, as ratios against VTK doing the same work in the same run on this machine.
 * Prints a table and writes tests/output/bench.json. Needs Debian's python3-vtk9 for /usr/bin/python3.
 */
import { execFile } from 'node:child_process';
import { existsSync, mkdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import sharp from 'sharp';
import { build, runnerImport } from 'vite';
import { drawerRatios, drawerRuns } from './drawerRuns.mjs';

const run = promisify(execFile);
const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const root = here('../..');
const out = here('../output/bench');
const RUNS = 3;
const DRAWER = 200;
/** As in photo.ts. */
const PHOTO = { width: 5400, height: 4500 };
/** Processes of either side, by turns, and the runs of each. */
const PHOTO_ROUNDS = 3;
const PHOTO_RUNS = 7;

async function main() {
  mkdirSync(out, { recursive: true });
  await bundleWork();
  const { module: meshes } = await runnerImport(here('./meshes.ts'));
  const files = {
    million: scanFile(meshes, 'million.ply', 1_000_000, 2),
    five: scanFile(meshes, 'five-million.ply', 5_000_000, 3),
  };
  const small = Array.from({ length: 8 }, (_, k) =>
    scanFile(meshes, `small-${k + 1}.ply`, 50_000 + 500 * k, 0),
  );

  const vtk = await json('/usr/bin/python3', [here('./cutter.py'), files.million, String(RUNS)]);
  const sections = await work('fiftySections', files.million, RUNS);
  const million = await work('wholeJob', files.million, RUNS);
  const five = await work('wholeJob', files.five, 1);
  const fiveSize = statSync(files.five).size;
  const one = await commandLine(small, 1);
  const two = await commandLine(small, 2);

  const picture = await photoFile();
  const { photo, native, heap } = await photographs(picture);

  const plate = await work('fortyPlates', small[0], RUNS);

  const drawer = await drawerRuns(join(out, 'drawer'), small, DRAWER);

  const rows = [
    row('50 sections, 1 M triangles: VTK, cut one by one / ours', vtk['one by one'] / sections.ms, '≥', 20),
    row('50 sections, 1 M triangles: VTK, all in one heap / ours', vtk['at once'] / sections.ms, '≥', 20),
    row('whole job, 1 M: VTK read + one by one / ours', (vtk.read + vtk['one by one']) / million.ms, '≥', 2),
    row(
      'whole job, 1 M: VTK read + all in one heap / ours',
      (vtk.read + vtk['at once']) / million.ms,
      '≥',
      2,
    ),
    row('whole job: 5 M triangles / 1 M triangles', five.ms / million.runs[0], '≤', 5.5),
    row('peak memory, 5 M triangles / file size', five.peak / fiveSize, '≤', 8),
    row('command line, 8 small scans: one core / two', one / two, '≥', 1.6),
    row('photograph, 24 MP: ours / native OpenCV on one thread', photo.later / native.later, '≤', 1),
    row('photograph, 24 MP: the same, first runs of a process', photo.first / native.first, '≤', 1),
    row('photograph, 24 MP: OpenCV’s heap, MB', heap / 1e6, '≤', 700),
    row('plates of 40 pieces, shaded / their outlines alone', plate.whole / plate.outlines, '≤', 5),
    row('plates of 40 pieces, by arrises / their outlines alone', plate.arrises / plate.outlines, '≤', 5),
    ...drawerRatios(drawer).map((ratio) => row(...ratio)),
  ];
  const detail = {
    machine: {
      cpu: cpus()[0]?.model,
      cores: availableParallelism(),
      node: process.version,
      vtk: vtk.version,
    },
    vtk: { read: vtk.read, oneByOne: vtk['one by one'], atOnce: vtk['at once'] },
    sections,
    million,
    five,
    commandLine: { one, two },
    photo,
    native,
    plate,
    drawer,
  };
  print(rows, detail);
  writeFileSync(here('../output/bench.json'), `${JSON.stringify({ rows, ...detail }, null, 2)}\n`);
  process.exitCode = rows.every((r) => r.met) ? 0 : 1;
}

/** The engine and the piece of work, bundled as for the command line. */
async function bundleWork() {
  await build({
    root,
    configFile: false,
    logLevel: 'warn',
    define: { __COMMIT__: '"bench"' },
    build: {
      ssr: here('./work.ts'),
      target: 'node20',
      outDir: join(out, 'work'),
      rolldownOptions: { output: { entryFileNames: 'work.mjs' } },
    },
    ssr: { external: true },
  });
}

function scanFile(meshes, name, triangles, quarterings) {
  const file = join(out, name);
  if (!existsSync(file)) writeFileSync(file, meshes.binaryPly(meshes.benchMesh(triangles, quarterings)));
  return file;
}

/** Pixels of a demo photograph, drawn larger, with a little noise so that no two neighbours are alike. */
async function photoFile() {
  const file = join(out, 'photo.rgba');
  if (existsSync(file)) return file;
  const { data } = await sharp(join(root, 'sample-scans/qt-41-3-photo-A.jpg'))
    .resize(PHOTO.width, PHOTO.height, { kernel: 'cubic', fit: 'fill' })
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  let state = 1;
  for (let i = 0; i < data.length; i++) {
    if (i % 4 === 3) continue;
    state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
    data[i] = Math.max(0, Math.min(255, data[i] + ((state >> 16) % 5) - 2));
  }
  writeFileSync(file, data);
  return file;
}

/**
 * Both sides alike: processes by turns, so that what else the machine does falls on both, and of each the median first run,
 * when code is compiled and memory is new, and the median of all others.
 */
async function photographs(picture) {
  const size = [PHOTO.width, PHOTO.height, PHOTO_RUNS].map(String);
  const ours = [];
  const theirs = [];
  let heap = 0;
  for (let round = 0; round < PHOTO_ROUNDS; round++) {
    const one = await work('photoJob', picture, PHOTO_RUNS);
    heap = Math.max(heap, one.heap);
    ours.push(one.runs);
    theirs.push((await json('/usr/bin/python3', [here('./photo.py'), picture, ...size])).runs);
  }
  return { photo: firstAndLater(ours), native: firstAndLater(theirs), heap };
}

/** Median of the first runs of some processes and of their later ones, ms. */
function firstAndLater(processes) {
  return {
    first: median(processes.map(([first]) => first)),
    later: median(processes.flatMap(([, ...later]) => later)),
    processes,
  };
}

function median(values) {
  const ordered = values.toSorted((a, b) => a - b);
  const half = ordered.length >> 1;
  return ordered.length % 2 === 1 ? ordered[half] : (ordered[half - 1] + ordered[half]) / 2;
}

async function json(command, args) {
  const { stdout } = await run(command, args, { maxBuffer: 1 << 24 });
  return JSON.parse(stdout);
}

function work(name, file, runs) {
  return json(process.execPath, [here('./work.mjs'), join(out, 'work/work.mjs'), name, file, String(runs)]);
}

/** Milliseconds for the command line on so many cores (util-linux's taskset holds it there), as many scans at once. */
async function commandLine(files, cores) {
  let best = Infinity;
  for (let k = 0; k < 2; k++) {
    const folder = join(out, `measured-${cores}`);
    rmSync(folder, { recursive: true, force: true });
    const start = performance.now();
    await run('taskset', [
      '--cpu-list',
      cores === 1 ? '0' : `0-${cores - 1}`,
      process.execPath,
      join(root, 'src/cli/knapgauge.mjs'),
      'measure',
      ...files,
      '--out',
      folder,
      '--unit',
      'mm',
      '--jobs',
      String(cores),
      '--quiet',
    ]).catch((error) => {
      // Warnings have an exit code of their own; what failed to run has none.
      if (typeof error.code !== 'number' || !existsSync(folder)) throw error;
    });
    best = Math.min(best, performance.now() - start);
  }
  return best;
}

function row(what, ratio, sense, target) {
  return { what, ratio, sense, target, met: sense === '≥' ? ratio >= target : ratio <= target };
}

function print(rows, detail) {
  const ms = (x) => `${Math.round(x)} ms`;
  console.log(
    `\n${detail.machine.cpu}, ${detail.machine.cores} cores, Node ${detail.machine.node}, VTK ${detail.machine.vtk}`,
  );
  console.log(
    `VTK: read ${ms(detail.vtk.read)}, 50 cuts one by one ${ms(detail.vtk.oneByOne)}, at once ${ms(detail.vtk.atOnce)}`,
  );
  console.log(
    `ours: 50 sections ${ms(detail.sections.ms)}; whole job 1 M ${detail.million.runs.map(ms).join(', ')}; 5 M ${ms(detail.five.ms)}`,
  );
  const both = ({ first, later }) => `${ms(first)} at first, ${ms(later)} later`;
  console.log(`photograph: ours ${both(detail.photo)}; native OpenCV ${both(detail.native)}\n`);
  for (const r of rows) {
    console.log(
      `${r.what.padEnd(66)} ${r.ratio.toFixed(2).padStart(8)}   ${r.sense} ${r.target}   ${r.met ? 'met' : 'not met'}`,
    );
  }
}

await main();
