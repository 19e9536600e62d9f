import { mkdir, readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { Command, Option } from 'commander';
import { repeatFigure } from '../drawer/repeatFigure.ts';
import { repeatSet, toReading } from '../drawer/repeatSet.ts';
import { agreementCsv, readingsCsv, repeatCsv } from '../drawer/repeatTable.ts';
import type { Reading, RepeatSet } from '../drawer/repeatTypes.ts';
import { catalogueRows } from '../measures/catalogue.ts';
import { readRecord } from '../record/read.ts';
import type { SpecimenRecord } from '../record/schema.ts';
import { EXIT, worst } from './exitCodes.ts';
import { writeAtomically } from './outputFiles.ts';
import { RECORD_ENDING, recordFiles } from './recordFiles.ts';
import { type NameReader, readBy } from './repeatBy.ts';
import { repeatLines } from './repeatLines.ts';
import { plain } from './table.ts';

interface RepeatOptions {
  readonly by: string;
  readonly raters: 'observer' | 'occasion' | 'kind';
  readonly measures?: readonly string[];
  readonly out?: string;
}

/** Shown and drawn unless others are asked for; the tables hold every measure. */
const MAIN = ['length', 'width', 'thickness', 'width.thickness', 'edge.angle.mean', 'symmetry.overlap'];

export function repeatCommand(): Command {
  return new Command('repeat')
    .description('compare repeat measurements of the same pieces: technical error, ICC, limits of agreement')
    .argument('<record...>', `records (${RECORD_ENDING}), or folders with records`)
    .option(
      '--by <how>',
      'what tells which records are of one piece: `number` (catalogue number), a pattern of the file name such as `{piece}-{observer}`, or a CSV file with the columns record, piece and observer',
      'number',
    )
    .addOption(
      new Option('--raters <what>', 'what is compared: observers, occasions, or scan against photo')
        .choices(['observer', 'occasion', 'kind'])
        .default('observer'),
    )
    .option('--measures <ids>', 'measures to show and draw, such as length,width', (text) => text.split(','))
    .option('-o, --out <dir>', 'folder for repeat.csv, repeat-agreement.csv, repeat-readings.csv, repeat.svg')
    .addHelpText(
      'after',
      '\nExit code: 0 done, 2 usage or nothing was repeated, 3 a record could not be read (the others are done).',
    )
    .action(async (paths: string[], options: RepeatOptions) => {
      process.exitCode = await compareRepeats(paths, options);
    });
}

async function compareRepeats(paths: readonly string[], options: RepeatOptions): Promise<number> {
  const codes: number[] = [];
  const complain = (code: number, text: string): void => {
    codes.push(code);
    console.error(`knapgauge: ${plain(text)}`);
  };
  let names: NameReader;
  let files: string[];
  try {
    verifyMeasures(options.measures);
    names = await readBy(options.by);
    files = await recordFiles(paths);
  } catch (error) {
    complain(EXIT.usage, (error as Error).message);
    return EXIT.usage;
  }
  const readings: Reading[] = [];
  for (const file of files) {
    try {
      readings.push(readingOf(readRecord(await readFile(file, 'utf8')), file, names, options.raters));
    } catch (error) {
      complain(EXIT.file, `${file}: ${(error as Error).message}`);
    }
  }
  const set = repeatSet(readings);
  if (set.pieces.length === 0) {
    complain(
      EXIT.usage,
      `No piece was measured twice among ${readings.length} records: see --by for how records of one piece are told.`,
    );
    return worst(codes);
  }
  const shown = options.measures ?? MAIN;
  const main = { ...set, measures: set.measures.filter(({ id }) => shown.includes(id)) };
  if (options.out !== undefined) {
    try {
      await save(options.out, set, main);
    } catch (error) {
      complain(EXIT.file, `The results could not be written: ${(error as Error).message}.`);
    }
  }
  console.log(repeatLines(main).map(plain).join('\n'));
  return worst(codes);
}

function verifyMeasures(ids: readonly string[] | undefined): void {
  const known = new Set(catalogueRows().map(({ id }) => id));
  const unknown = ids?.find((id) => !known.has(id));
  if (unknown !== undefined) throw new Error(`--measures: no measure is named ${unknown}.`);
}

function readingOf(
  record: SpecimenRecord,
  file: string,
  names: NameReader,
  raters: RepeatOptions['raters'],
): Reading {
  const stem = basename(file).replace(/\.specimen\.json$|(?<=.)\.[^.]*$/, '');
  const { piece, observer } = names(record, stem);
  const by = { observer, occasion: record.catalogue.occasion, kind: record.source.kind }[raters];
  return toReading(record, piece, by ?? '', basename(file));
}

async function save(folder: string, set: RepeatSet, main: RepeatSet): Promise<void> {
  await mkdir(folder, { recursive: true });
  await writeAtomically(join(folder, 'repeat.csv'), repeatCsv(set));
  await writeAtomically(join(folder, 'repeat-agreement.csv'), agreementCsv(set));
  await writeAtomically(join(folder, 'repeat-readings.csv'), readingsCsv(set));
  await writeAtomically(join(folder, 'repeat.svg'), repeatFigure(main));
}
