import { mkdir, readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { Command } from 'commander';
import { type ComparedPiece, valuesOf } from '../drawer/comparedPiece.ts';
import {
  compareHand,
  type HandComparison,
  handAgreementCsv,
  handDifferencesCsv,
  handUnmatchedCsv,
} from '../drawer/handCompare.ts';
import { type HandTable, readHandTable } from '../drawer/handTable.ts';
import { readRecord } from '../record/read.ts';
import { compareLines } from './compareLines.ts';
import { EXIT, worst } from './exitCodes.ts';
import { writeAtomically } from './outputFiles.ts';
import { RECORD_ENDING, recordFiles } from './recordFiles.ts';
import { plain } from './table.ts';

interface CompareOptions {
  readonly out?: string;
}

export function compareCommand(): Command {
  return new Command('compare')
    .description('lay hand measurements beside computed ones, matched by catalogue number')
    .argument('<table>', 'CSV with the column catalogue_number and measures such as length_mm, width_cm')
    .argument('<record...>', `records (${RECORD_ENDING}), or folders with records`)
    .option(
      '-o, --out <dir>',
      'folder for compare.csv, compare-differences.csv and compare-unmatched.csv; made if missing',
    )
    .addHelpText(
      'after',
      '\nExit code: 0 done, 2 usage or nothing could be matched, 3 a record could not be read (the others are compared).',
    )
    .action(async (table: string, paths: string[], options: CompareOptions) => {
      process.exitCode = await compareWithHand(table, paths, options);
    });
}

async function compareWithHand(
  path: string,
  paths: readonly string[],
  { out }: CompareOptions,
): Promise<number> {
  const codes: number[] = [];
  const complain = (code: number, text: string): void => {
    codes.push(code);
    console.error(`knapgauge: ${plain(text)}`);
  };
  let table: HandTable;
  let files: string[];
  try {
    table = readHandTable(await readFile(path));
    files = await recordFiles(paths);
  } catch (error) {
    complain(EXIT.usage, `${path}: ${(error as Error).message}`);
    return EXIT.usage;
  }
  const pieces: ComparedPiece[] = [];
  for (const file of files) {
    try {
      // Of a record only the numbers stay in memory, however many there are.
      const record = readRecord(await readFile(file, 'utf8'));
      const name = basename(file).replace(/\.specimen\.json$|(?<=.)\.[^.]*$/, '');
      pieces.push({ key: file, name, number: record.catalogue.number, values: valuesOf(record) });
    } catch (error) {
      complain(EXIT.file, `${file}: ${(error as Error).message}`);
    }
  }
  const comparison = compareHand(table, pieces);
  if (out !== undefined) {
    try {
      await save(out, comparison);
    } catch (error) {
      complain(EXIT.file, `The results could not be written: ${(error as Error).message}.`);
    }
  }
  console.log(compareLines(table, comparison).map(plain).join('\n'));
  if (comparison.pieces === 0) complain(EXIT.usage, nothingMatched(pieces));
  return worst(codes);
}

function nothingMatched(pieces: readonly ComparedPiece[]): string {
  const nothing = 'No row of the table could be matched with a record.';
  const [first] = pieces;
  if (first === undefined || pieces.some(({ number }) => number !== undefined)) return nothing;
  return `${nothing} The records have no catalogue numbers and go by the names of their files, such as ${first.name}: write these into the table, or measure from a list that gives the numbers (drawer list.csv).`;
}

async function save(folder: string, comparison: HandComparison): Promise<void> {
  await mkdir(folder, { recursive: true });
  await writeAtomically(join(folder, 'compare.csv'), handAgreementCsv(comparison));
  await writeAtomically(join(folder, 'compare-differences.csv'), handDifferencesCsv(comparison));
  await writeAtomically(join(folder, 'compare-unmatched.csv'), handUnmatchedCsv(comparison));
}
