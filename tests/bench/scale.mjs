/**
 * `npm run scale`: measures what a drawer costs on this machine and writes docs/scale.md from it. Times are those of the cores
 * (user and system), which other work on the machine changes little.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';
import { account, drawerRuns } from './drawerRuns.mjs';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const out = here('../output/bench');
const PAGE = here('../../docs/scale.md');
const WHOLE = 100_000;
const SMALL = 50_000;
const LARGE = 1_000_000;
const count = Number(process.argv[2] ?? 200);

async function main() {
  mkdirSync(join(out, 'one-million'), { recursive: true });
  const { module: meshes } = await runnerImport(here('./meshes.ts'));
  const scanFile = (path, triangles, quarterings) => {
    const file = join(out, path);
    if (!existsSync(file)) writeFileSync(file, meshes.binaryPly(meshes.benchMesh(triangles, quarterings)));
    return file;
  };
  const small = Array.from({ length: 8 }, (_, k) => scanFile(`small-${k + 1}.ply`, SMALL + 500 * k, 0));
  scanFile('one-million/million.ply', LARGE, 2);
  const drawer = await drawerRuns(join(out, 'drawer'), small, count);
  const large = await account(1, join(out, 'one-million'), join(out, `measured-million-${process.pid}`));
  const figures = figuresOf(drawer, large);
  const text = readFileSync(PAGE, 'utf8');
  const page = text.replace(/(<!-- figures -->\n)[\s\S]*?(<!-- end -->)/, `$1${figures}$2`);
  writeFileSync(PAGE, page);
  console.log(figures);
}

function figuresOf({ few, one, two, small, resume, merge, disk }, large) {
  const perPiece = one.cpu / count;
  const mega = (bytes) => `${Math.round(bytes / 1e6)} MB`;
  const kilo = (bytes) => `${Math.round(bytes / 1e3)} kB`;
  const seconds = (ms) => `${(ms / 1000).toFixed(2)} s`;
  const hours = (ms) => `${(ms / 3.6e6).toPrecision(2)} h`;
  const giga = (bytes) => `${Math.round((bytes * WHOLE) / count / 1e9)} GB`;
  const table = (head, rows) =>
    [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
  const measured = table(
    ['measured', 'figure'],
    [
      [`a scan of ${SMALL / 1000} 000 triangles, one core`, seconds(perPiece)],
      [`a scan of ${LARGE / 1e6} million triangles, one core`, seconds(large.cpu)],
      [
        'looking again at a finished piece, with its share of the program’s start',
        seconds(resume.cpu / count),
      ],
      ['writing tables, shapes and index, for each piece', seconds(merge.cpu / count)],
      [`peak memory, one scan at a time, ${count} scans`, mega(one.peak)],
      [`peak memory, two at a time, ${few} scans; ${count} scans`, `${mega(small.peak)}; ${mega(two.peak)}`],
      ['peak memory, one scan of a million triangles', mega(large.peak)],
      ['record of a piece', kilo(disk.records / count)],
      ['sheet of a piece', kilo(disk.sheets / count)],
      ['its share of tables, shapes and index', kilo(disk.tables / count)],
    ],
  );
  const cores = [2, 16, 128, 1024];
  const whole = table(
    [`${WHOLE.toLocaleString('en').replace(',', ' ')} scans of ${SMALL / 1000} 000 triangles`, 'cost'],
    [
      ['time of cores', hours(perPiece * WHOLE)],
      ...cores.map((n) => [`on ${n} cores, were they all busy`, hours((perPiece * WHOLE) / n)]),
      ['merge of all parts, on one core', hours((merge.cpu / count) * WHOLE)],
      ['records', giga(disk.records)],
      ['sheets', giga(disk.sheets)],
      ['tables, shapes and index', giga(disk.tables)],
    ],
  );
  return `Measured on ${cpus()[0]?.model ?? 'an unnamed core'}, Node ${process.version}, ${count} scans.\n\n${measured}\n\n${whole}\n`;
}

await main();
