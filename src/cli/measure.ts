import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { Command, Option } from 'commander';
import { isFileFault, type JobFailure } from '../../workers/failure.ts';
import type { FileJob, FileMeasured, FileOutcome } from '../../workers/fileJob.ts';
import { OUTPUT_KINDS, type OutputKind } from '../../workers/outputKinds.ts';
import { runPool } from '../../workers/pool.node.ts';
import { setUpV8 } from '../../workers/v8.node.ts';
import { MM_PER_UNIT } from '../intake/types.ts';
import type { MeshKind } from '../record/meshFile.ts';
import type { AllSettings } from '../record/settings.ts';
import { EXIT, worst } from './exitCodes.ts';
import { lanes, photosOf, tellMemoryDoubts } from './memory.ts';
import {
  jobsOption,
  meshOption,
  type PieceFiles,
  parseList,
  parseNumber,
  parseStations,
  parseViews,
  type SettingOptions,
  settingsFile,
  settingsFrom,
  thinOption,
} from './options.ts';
import { outputNames, realPaths, realTarget, writeAtomically } from './outputFiles.ts';
import { photoOptions } from './photoOptions.ts';
import { progressLine } from './progress.ts';
import { plain, shortTable } from './table.ts';

interface MeasureOptions extends SettingOptions {
  readonly out: string;
  readonly settings?: string;
  readonly only?: OutputKind;
  readonly mesh?: MeshKind;
  readonly jobs?: number;
  readonly quiet?: true;
  readonly photo: readonly PieceFiles[];
}

export function measureCommand(): Command {
  const command = new Command('measure')
    .description(
      'measure scans and photographs of bifaces: for each a record, tables and a sheet to look at first',
    )
    .argument('[file...]', 'scans (PLY, STL, OBJ, glTF, GLB) and photographs (JPEG, PNG, TIFF, WebP)')
    .requiredOption('-o, --out <dir>', 'folder for the results; made if missing')
    .addOption(
      new Option(
        '--unit <unit>',
        'unit of lengths in the files; guessed from size where the format names none',
      ).choices(Object.keys(MM_PER_UNIT)),
    )
    .addOption(
      new Option('--axis <axis>', 'length axis (default: mirror)').choices([
        'mirror',
        'principal',
        'longest',
        'tip-base',
      ]),
    )
    .option('--base <x,y,z>', 'placed base midpoint for --axis tip-base, mm', parseList)
    .option('--tip <x,y,z>', 'placed tip for --axis tip-base, mm', parseList)
    .option('--flip-face', 'swap Face A and Face B')
    .option('--flip-tip', 'swap tip and base')
    .addOption(thinOption())
    .option('--density <g/cm3>', 'density, for an estimated mass', parseNumber)
    .option('--mass <g>', 'weighed mass', parseNumber)
    .option(
      '--stations <list>',
      'where sections are cut, percent of length, rising, such as 10,25,50',
      parseStations,
    )
    .optionsGroup('Photographs (left to itself the program takes a scale mat or a flatbed’s resolution):')
    .addOption(
      new Option(
        '--photo <views>',
        'photographs of one piece, such as A=face.jpg,B=back.jpg,left=edge.jpg (also right=, tip=); may be given again',
      )
        .argParser(parseViews)
        .default([], 'none'),
    );
  for (const option of photoOptions()) command.addOption(option);
  return command
    .optionsGroup('Run:')
    .option(
      '--settings <file>',
      'settings as JSON, or a record to take them from; what is typed here comes on top',
    )
    .addOption(new Option('--only <kind>', 'write one kind of result only').choices([...OUTPUT_KINDS]))
    .addOption(meshOption())
    .addOption(jobsOption())
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText(
      'after',
      '\nExit code: 0 all measured, 2 usage, 3 a scan failed (the others are done), 1 a fault in the program.',
    )
    .action(async (scans: string[], options: MeasureOptions) => {
      process.exitCode = await measureFiles(scans, options);
    });
}

async function measureFiles(files: readonly string[], options: MeasureOptions): Promise<number> {
  if (files.length === 0 && options.photo.length === 0) {
    console.error('knapgauge: missing a file to measure (or photographs with --photo)');
    return EXIT.usage;
  }
  const scans = [...files, ...options.photo.map(({ path }) => path)];
  let settings: AllSettings;
  try {
    settings = settingsFrom(options, await settingsFile(options.settings));
    await mkdir(options.out, { recursive: true });
  } catch (error) {
    console.error(`knapgauge: ${plain((error as Error).message)}`);
    return EXIT.usage;
  }
  const kinds = options.only === undefined ? OUTPUT_KINDS : [options.only];
  const names = outputNames(scans);
  const inputs = await realPaths([
    ...scans,
    ...options.photo.flatMap(({ views = [] }) => views.map(({ path }) => path)),
  ]);
  const measured = new Map<number, FileMeasured>();
  const codes: number[] = [];
  const line = progressLine(process.stderr, options.quiet !== true);
  const settled = async (index: number, outcome: FileOutcome): Promise<void> => {
    const end = outcome.ok ? await save(outcome, join(options.out, names[index]), inputs) : outcome;
    line.clear();
    codes.push(end.ok ? EXIT.fine : report(scans[index], end.failure));
    if (end.ok) measured.set(index, { ...end.measured, outputs: [] });
  };
  const progress = (index: number, fraction: number, step: string): void =>
    line.show(`${codes.length}/${scans.length}  ${names[index]}: ${step} ${Math.round(100 * fraction)} %`);
  const tell = (line: string): void => console.error(`knapgauge: ${plain(line)}`);
  await tellMemoryDoubts(files, settings.scan.thin, tell);
  const jobs = [...files.map((path): PieceFiles => ({ path })), ...options.photo].map(
    (piece): FileJob => ({ ...piece, settings, kinds, mesh: options.mesh }),
  );
  const size = jobs.length === 1 ? 1 : await lanes(options.jobs, jobs.flatMap(photosOf), tell);
  await runJobs(jobs, size, progress, settled);
  line.clear();
  if (options.quiet !== true) printMeasured(names, measured);
  return worst(codes);
}

/** A single piece is measured right here: a thread would only cost its start. */
async function runJobs(
  jobs: readonly FileJob[],
  size: number,
  progress: (index: number, fraction: number, step: string) => void,
  settled: (index: number, outcome: FileOutcome) => Promise<void>,
): Promise<void> {
  setUpV8();
  if (jobs.length > 1) {
    return runPool(new URL('./engine.js', import.meta.url), jobs, size, { progress, settled });
  }
  const { runFileJob } = await import('../../workers/fileJob.ts');
  for (const [index, job] of jobs.entries()) {
    await settled(index, await runFileJob(job, (fraction, step) => progress(index, fraction, step)));
  }
}

/** Writes every output of one scan, unless one of them would take the place of an input. */
async function save(
  outcome: FileOutcome & { ok: true },
  stem: string,
  inputs: ReadonlySet<string>,
): Promise<FileOutcome> {
  try {
    for (const { ending } of outcome.measured.outputs) {
      if (inputs.has(await realTarget(stem + ending))) {
        throw new Error(`${stem}${ending} is one of the inputs: choose another folder with --out`);
      }
    }
    for (const { ending, content } of outcome.measured.outputs) await writeAtomically(stem + ending, content);
    return outcome;
  } catch (error) {
    const message = `The results could not be written: ${(error as Error).message}.`;
    return { ok: false, failure: { name: 'RecordError', code: 'not-written', message } };
  }
}

function report(path: string, failure: JobFailure): number {
  const ours = !isFileFault(failure);
  console.error(
    `knapgauge: ${plain(path)}: ${plain(failure.message)}${ours ? ` (a fault in the program: ${failure.name})` : ''}`,
  );
  return ours ? EXIT.fault : EXIT.file;
}

function printMeasured(names: readonly string[], measured: ReadonlyMap<number, FileMeasured>): void {
  if (measured.size === 0) return;
  const rows = [...measured].sort(([a], [b]) => a - b);
  console.log(
    shortTable(
      rows.map(([index, { measurements, warnings }]) => ({
        name: names[index],
        measurements,
        warnings: warnings.length,
      })),
      process.stdout.isTTY ? process.stdout.columns : undefined,
    ),
  );
  for (const [index, { warnings }] of rows) {
    for (const { code, text } of warnings) console.log(`${plain(names[index])}: ${code}: ${plain(text)}`);
  }
  const isGuessed = rows.some(([, { warnings }]) => warnings.some(({ code }) => code === 'units-guessed'));
  if (isGuessed) console.log('A unit is confirmed or corrected with --unit, such as --unit mm.');
}
