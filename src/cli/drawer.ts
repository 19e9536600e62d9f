import { mkdir, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { Command, InvalidArgumentError, Option } from 'commander';
import { isFileFault } from '../../workers/failure.ts';
import type { FileJob, FileOutcome } from '../../workers/fileJob.ts';
import { meshEnding } from '../../workers/outputs.ts';
import { runPool } from '../../workers/pool.node.ts';
import { setUpV8 } from '../../workers/v8.node.ts';
import { LICENCE_NAME } from '../drawer/dataPackage.ts';
import { MM_PER_UNIT } from '../intake/types.ts';
import { MESH_KINDS, type MeshKind } from '../record/meshFile.ts';
import { RecordError } from '../record/schema.ts';
import type { AllSettings } from '../record/settings.ts';
import { isFinished } from './drawerFinished.ts';
import { type ListedPiece, type Listing, listPieces } from './drawerPieces.ts';
import {
  type Failure,
  PIECES,
  type ResultOptions,
  recordPath,
  resultsStand,
  writeResults,
} from './drawerResults.ts';
import { type Run, readRun, writeRun } from './drawerRun.ts';
import { EXIT } from './exitCodes.ts';
import { lanes, photosOf, tellMemoryDoubts } from './memory.ts';
import {
  jobsOption,
  meshOption,
  type SettingOptions,
  settingsFile,
  settingsFrom,
  thinOption,
} from './options.ts';
import { writeAtomically } from './outputFiles.ts';
import { passedOverLines } from './passedOver.ts';
import { photoOptions } from './photoOptions.ts';
import { progressLine } from './progress.ts';
import { plain } from './table.ts';

interface DrawerOptions extends SettingOptions {
  readonly out: string;
  readonly settings?: string;
  readonly jobs?: number;
  readonly shard?: Shard;
  /** False where photographs are not put together. */
  readonly views: boolean;
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
  const command = new Command('drawer')
    .description(
      'measure a whole folder of scans and photographs; stopped at any moment, it goes on where it was',
    )
    .argument(
      '<folder-or-list>',
      'folder, or CSV list with a column "file" and others for unit, views, scale and description',
    )
    .requiredOption('-o, --out <dir>', 'folder for the results; made if missing')
    .addOption(
      new Option('--unit <unit>', 'unit of lengths where the list names none').choices(
        Object.keys(MM_PER_UNIT),
      ),
    )
    .option('--settings <file>', 'settings as JSON, or a record to take them from')
    .addOption(thinOption())
    .optionsGroup('Photographs (what a row of the list tells comes first):')
    .option(
      '--no-views',
      'take each photograph of a folder for a piece of its own; else those called alike but for the view (…-A, …-B, …-left, …-profile, …-tip) are one piece',
    );
  for (const option of photoOptions()) command.addOption(option);
  return command
    .optionsGroup('Run:')
    .addOption(jobsOption())
    .option('--shard <k/n>', 'measure part k of n only; parts are put together by merge', parseShard)
    .addOption(meshOption())
    .option('--find-spots', 'write find-spots into the tables')
    .option('--licence <id>', 'licence of the data, such as CC-BY-4.0, for the data package', parseLicence)
    .option('--source <text>', 'where the pieces or their scans come from, for the data package')
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText(
      'after',
      '\nExit code: 0 all measured, 2 usage, 3 a piece failed (see failures.csv; the others are done), 1 a fault in the program.',
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
  let listing: Listing;
  let settings: AllSettings;
  let sameRun: boolean;
  let about: ResultOptions;
  try {
    settings = settingsFrom(options, await settingsFile(options.settings));
    await mkdir(join(options.out, PIECES), { recursive: true });
    listing = await listPieces(where, { leaveOut: options.out, views: options.views });
    about = aboutResults(options, listing);
    sameRun = await verifyRun(options.out, listing.pieces, { shard: options.shard, ...about });
  } catch (error) {
    console.error(`knapgauge: ${plain((error as Error).message)}`);
    return EXIT.usage;
  }
  if (options.quiet !== true) {
    for (const line of passedOverLines(listing.passedOver, listing.textures)) console.log(plain(line));
  }
  await clearHalfWritten(join(options.out, PIECES));
  const { k, n } = options.shard ?? { k: 1, n: 1 };
  const mine = listing.pieces.filter((_, index) => index % n === k - 1);
  const failures = new Map<string, Failed>();
  const todo: ToMeasure[] = [];
  for (const piece of mine) {
    const job = jobOf(piece, settings, options.mesh);
    if ('code' in job) await fail(options.out, piece, { ...job, fault: false }, failures);
    else if (!(await isFinished(options.out, piece, job))) todo.push({ piece, job });
  }
  const before = mine.length - todo.length - failures.size;
  await measureAll(options, todo, mine.length, failures);
  const names = mine.map(({ name }) => name);
  if (!(sameRun && todo.length === 0 && failures.size === 0 && (await resultsStand(options.out, names)))) {
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
      `${mine.length - failures.size} measured (${before} of them before), ${failures.size} failed: ${plain(join(options.out, 'index.html'))}`,
    );
  }
  if ([...failures.values()].some(({ fault }) => fault)) return EXIT.fault;
  return failures.size === 0 ? EXIT.fine : EXIT.file;
}

function aboutResults({ findSpots, licence, source }: DrawerOptions, listing: Listing): ResultOptions {
  const some = (files: readonly string[]): readonly string[] | undefined =>
    files.length === 0 ? undefined : files;
  return {
    findSpots: findSpots === true,
    licence,
    source,
    passedOver: some(listing.passedOver),
    textures: some(listing.textures),
  };
}

/** What `merge` must know; a folder that holds another run is not added to. True where the same run was made there before. */
async function verifyRun(
  out: string,
  pieces: readonly ListedPiece[],
  { shard, ...about }: Omit<Run, 'files'>,
): Promise<boolean> {
  const run: Run = {
    files: pieces.map(({ listed, name, views }) => ({
      file: listed,
      name,
      ...(views && { views: Object.fromEntries(views.map(({ view, listed }) => [view, listed])) }),
    })),
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

interface ToMeasure {
  readonly piece: ListedPiece;
  readonly job: FileJob;
}

/** The job of a piece, or why there is none. */
function jobOf(
  { path, views, options, catalogue, fault }: ListedPiece,
  settings: AllSettings,
  mesh: MeshKind | undefined,
): FileJob | Omit<Failure, 'file'> {
  if (fault !== undefined) return { code: 'drawer-list', message: fault };
  try {
    const own = settingsFrom(options, settings);
    return { path, ...(views && { views }), settings: own, kinds: ['json', 'sheet'], mesh, catalogue };
  } catch (error) {
    if (!(error instanceof RecordError)) throw error;
    return { code: error.code, message: error.message };
  }
}

/** Files that a killed run left half-written never count. */
async function clearHalfWritten(folder: string): Promise<void> {
  for (const name of await readdir(folder)) {
    if (/^\.[0-9a-f-]+\.part$/.test(name)) await rm(join(folder, name), { force: true });
  }
}

type Failed = Failure & { readonly fault: boolean };

/** Notes a failure and tells it. A record of an earlier version of the file would pass for this one. */
async function fail(
  out: string,
  { listed, name }: ListedPiece,
  { code, message, fault }: Omit<Failed, 'file'>,
  failures: Map<string, Failed>,
): Promise<void> {
  await rm(recordPath(out, name), { force: true });
  failures.set(listed, { file: listed, code, message, fault });
  console.error(`knapgauge: ${plain(listed)}: ${plain(message)}`);
}

async function measureAll(
  options: DrawerOptions,
  todo: readonly ToMeasure[],
  whole: number,
  failures: Map<string, Failed>,
): Promise<void> {
  const line = progressLine(process.stderr, options.quiet !== true);
  const start = performance.now();
  const done = whole - todo.length;
  let ended = 0;
  const settled = async (index: number, outcome: FileOutcome): Promise<void> => {
    const { piece } = todo[index];
    const end = outcome.ok ? await save(options.out, piece.name, outcome) : outcome;
    ended += 1;
    if (!end.ok) {
      line.clear();
      await fail(options.out, piece, { ...end.failure, fault: !isFileFault(end.failure) }, failures);
    }
    const left = ((performance.now() - start) / ended) * (todo.length - ended);
    line.show(`${done + ended}/${whole} done, ${failures.size} failed, ${timeLeft(left)} left`);
  };
  const tell = (line: string): void => console.error(`knapgauge: ${plain(line)}`);
  await tellMemoryDoubts(
    todo.map(({ piece }) => piece.path),
    todo[0]?.job.settings.scan.thin,
    tell,
  );
  setUpV8();
  await runPool(
    new URL('./engine.js', import.meta.url),
    todo.map(({ job }) => job),
    await lanes(
      options.jobs,
      todo.flatMap(({ job }) => photosOf(job)),
      tell,
    ),
    { settled },
  );
  line.clear();
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
