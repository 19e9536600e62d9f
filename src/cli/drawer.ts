import { mkdir, readdir, readFile, rm } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { Command, InvalidArgumentError, Option } from 'commander';
import { isFileFault } from '../../workers/failure.ts';
import type { FileJob, FileOutcome } from '../../workers/fileJob.ts';
import { meshEnding } from '../../workers/outputs.ts';
import { runPool } from '../../workers/pool.node.ts';
import { setUpV8 } from '../../workers/v8.node.ts';
import { LICENCE_NAME } from '../drawer/dataPackage.ts';
import { MM_PER_UNIT } from '../intake/types.ts';
import { ENGINE } from '../record/engine.ts';
import { MESH_KINDS, type MeshKind } from '../record/meshFile.ts';
import { RecordError } from '../record/schema.ts';
import { type AllSettings, DEFAULT_SETTINGS, readSettings } from '../record/settings.ts';
import { type ListedScan, listScans } from './drawerList.ts';
import {
  type Failure,
  isThere,
  PIECES,
  type ResultOptions,
  recordHead,
  recordPath,
  resultsStand,
  sha256Of,
  writeResults,
} from './drawerResults.ts';
import { type Run, readRun, writeRun } from './drawerRun.ts';
import { EXIT } from './exitCodes.ts';
import { tellMemoryDoubts } from './memory.ts';
import { meshOption, parseCount, type SettingOptions, settingsFrom, thinOption } from './options.ts';
import { writeAtomically } from './outputFiles.ts';
import { progressLine } from './progress.ts';
import { plain } from './table.ts';

interface DrawerOptions extends SettingOptions {
  readonly out: string;
  readonly settings?: string;
  readonly jobs?: number;
  readonly shard?: Shard;
  readonly findSpots?: true;
  readonly mesh?: MeshKind;
  readonly licence?: string;
  readonly source?: string;
  readonly quiet?: true;
}

/** Part k of n: every n-th piece, beginning with the k-th. */
export interface Shard {
  readonly k: number;
  readonly n: number;
}

export function drawerCommand(): Command {
  return new Command('drawer')
    .description('measure a whole folder of scans; stopped at any moment, it goes on where it was')
    .argument(
      '<folder-or-list>',
      'folder, or CSV list with a column "file" and others for unit and description',
    )
    .requiredOption('-o, --out <dir>', 'folder for the results; made if missing')
    .addOption(
      new Option('--unit <unit>', 'unit of lengths where the list names none').choices(
        Object.keys(MM_PER_UNIT),
      ),
    )
    .option('--settings <file>', 'settings as JSON, or a record to take them from')
    .addOption(thinOption())
    .option('--jobs <n>', 'scans measured at once (default: one a core)', parseCount)
    .option('--shard <k/n>', 'measure part k of n only; parts are put together by merge', parseShard)
    .addOption(meshOption())
    .option('--find-spots', 'write find-spots into the tables')
    .option('--licence <id>', 'licence of the data, such as CC-BY-4.0, for the data package', parseLicence)
    .option('--source <text>', 'where the pieces or their scans come from, for the data package')
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText(
      'after',
      '\nExit code: 0 all measured, 2 usage, 3 a scan failed (see failures.csv; the others are done), 1 a fault in the program.',
    )
    .action(async (where: string, options: DrawerOptions) => {
      process.exitCode = await measureDrawer(where, options);
    });
}

function parseShard(text: string): Shard {
  const [, k, n] = /^(\d+)\/(\d+)$/.exec(text)?.map(Number) ?? [];
  if (!(k >= 1 && k <= n)) throw new InvalidArgumentError('It must be such as 2/8: part 2 of 8.');
  return { k, n };
}

function parseLicence(text: string): string {
  if (!LICENCE_NAME.test(text)) {
    throw new InvalidArgumentError('It must be an identifier such as CC-BY-4.0 or CC0-1.0.');
  }
  return text;
}

async function measureDrawer(where: string, options: DrawerOptions): Promise<number> {
  let scans: readonly ListedScan[];
  let settings: AllSettings;
  let sameRun: boolean;
  const { licence, source } = options;
  const about: ResultOptions = { findSpots: options.findSpots === true, licence, source };
  try {
    const file =
      options.settings === undefined
        ? DEFAULT_SETTINGS
        : readSettings(await readFile(options.settings, 'utf8'));
    settings = settingsFrom(options, file);
    await mkdir(join(options.out, PIECES), { recursive: true });
    scans = await listScans(where, options.out);
    sameRun = await verifyRun(options.out, { scans, shard: options.shard, ...about });
  } catch (error) {
    console.error(`knapgauge: ${plain((error as Error).message)}`);
    return EXIT.usage;
  }
  await clearHalfWritten(join(options.out, PIECES));
  const { k, n } = options.shard ?? { k: 1, n: 1 };
  const mine = scans.filter((_, index) => index % n === k - 1);
  const jobs = mine.map((scan) => ({ scan, job: jobOf(scan, settings, options.mesh) }));
  const todo: typeof jobs = [];
  for (const one of jobs) if (!(await isFinished(options.out, one.scan, one.job))) todo.push(one);
  const failures = await measureAll(options, todo, jobs.length);
  const names = mine.map(({ name }) => name);
  if (!(sameRun && todo.length === 0 && (await resultsStand(options.out, names)))) {
    try {
      await writeResults(
        options.out,
        names,
        mine.flatMap(({ listed }) => failures.get(listed) ?? []),
        about,
      );
    } catch (error) {
      console.error(`knapgauge: ${plain((error as Error).message)}`);
      return EXIT.file;
    }
  }
  if (options.quiet !== true) {
    console.log(
      `${jobs.length - failures.size} measured (${jobs.length - todo.length} of them before), ${failures.size} failed: ${plain(join(options.out, 'index.html'))}`,
    );
  }
  if ([...failures.values()].some(({ fault }) => fault)) return EXIT.fault;
  return failures.size === 0 ? EXIT.fine : EXIT.file;
}

/** What `merge` must know; a folder that holds another run is not added to. True where the same run was made there before. */
async function verifyRun(
  out: string,
  { scans, shard, ...about }: Omit<Run, 'files'> & { scans: readonly ListedScan[] },
): Promise<boolean> {
  const run: Run = {
    files: scans.map(({ listed, name }) => ({ file: listed, name })),
    ...(shard === undefined ? {} : { shard }),
    ...about,
  };
  const before = await readRun(out);
  if (before?.shard !== undefined && JSON.stringify(before.shard) !== JSON.stringify(shard)) {
    throw new RecordError(
      'drawer-shard',
      `${out} holds part ${before.shard.k}/${before.shard.n} of a run: choose another folder.`,
    );
  }
  return writeRun(out, run);
}

function jobOf(
  { path, unit, catalogue }: ListedScan,
  settings: AllSettings,
  mesh: MeshKind | undefined,
): FileJob {
  const scan = unit === undefined ? settings.scan : { ...settings.scan, unit };
  return { path, settings: { ...settings, scan }, kinds: ['json', 'sheet'], mesh, catalogue };
}

/** Measured before from the same bytes, with the same settings and description, by the same version. */
async function isFinished(out: string, { name, path }: ListedScan, job: FileJob): Promise<boolean> {
  const record = await recordHead(out, name);
  if (
    record === undefined ||
    record.engine.version !== ENGINE.version ||
    record.engine.commit !== ENGINE.commit
  )
    return false;
  const wanted = record.source.kind === 'scan' ? job.mesh : undefined;
  if (wanted !== undefined && !(await isThere(join(out, PIECES, name + meshEnding(wanted))))) return false;
  const same = (a: unknown, b: unknown): boolean => canonical(a) === canonical(b);
  if (!same(record.settings, job.settings) || !same(record.catalogue, job.catalogue ?? {})) return false;
  return record.source.sha256 === (await sha256Of(path).catch(() => undefined));
}

/** JSON with its keys in order. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_, inner: unknown) =>
    inner !== null && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).toSorted(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}

/** Files that a killed run left half-written never count. */
async function clearHalfWritten(folder: string): Promise<void> {
  for (const name of await readdir(folder)) {
    if (/^\.[0-9a-f-]+\.part$/.test(name)) await rm(join(folder, name), { force: true });
  }
}

type Failed = Failure & { readonly fault: boolean };

async function measureAll(
  options: DrawerOptions,
  todo: readonly { readonly scan: ListedScan; readonly job: FileJob }[],
  whole: number,
): Promise<ReadonlyMap<string, Failed>> {
  const failures = new Map<string, Failed>();
  const line = progressLine(process.stderr, options.quiet !== true);
  const start = performance.now();
  let ended = 0;
  const settled = async (index: number, outcome: FileOutcome): Promise<void> => {
    const { scan } = todo[index];
    const end = outcome.ok ? await save(options.out, scan.name, outcome) : outcome;
    ended += 1;
    if (!end.ok) {
      // A record of an earlier version of the file would pass for this one.
      await rm(recordPath(options.out, scan.name), { force: true });
      const { code, message } = end.failure;
      failures.set(scan.listed, { file: scan.listed, code, message, fault: !isFileFault(end.failure) });
      line.clear();
      console.error(`knapgauge: ${plain(scan.listed)}: ${plain(message)}`);
    }
    const left = ((performance.now() - start) / ended) * (todo.length - ended);
    line.show(
      `${whole - todo.length + ended}/${whole} done, ${failures.size} failed, ${timeLeft(left)} left`,
    );
  };
  await tellMemoryDoubts(
    todo.map(({ scan }) => scan.path),
    todo[0]?.job.settings.scan.thin,
    (line) => console.error(`knapgauge: ${plain(line)}`),
  );
  setUpV8();
  await runPool(
    new URL('./engine.js', import.meta.url),
    todo.map(({ job }) => job),
    options.jobs ?? availableParallelism(),
    { settled },
  );
  line.clear();
  return failures;
}

/** The record goes last: it is the mark that a piece is done. */
async function save(out: string, name: string, outcome: FileOutcome & { ok: true }): Promise<FileOutcome> {
  try {
    const { outputs } = outcome.measured;
    const isRecord = ({ ending }: { ending: string }): boolean => ending === '.specimen.json';
    // A mesh of an earlier run may stand in another frame.
    for (const kind of MESH_KINDS) await rm(join(out, PIECES, name + meshEnding(kind)), { force: true });
    for (const { ending, content } of outputs.toSorted((a, b) => Number(isRecord(a)) - Number(isRecord(b)))) {
      await writeAtomically(join(out, PIECES, name + ending), content);
    }
    return outcome;
  } catch (error) {
    const message = `The results could not be written: ${(error as Error).message}.`;
    return { ok: false, failure: { name: 'RecordError', code: 'not-written', message } };
  }
}

function timeLeft(ms: number): string {
  const minutes = ms / 60_000;
  if (minutes < 1) return 'under a minute';
  return minutes < 90 ? `${Math.round(minutes)} min` : `${(minutes / 60).toFixed(1)} h`;
}
