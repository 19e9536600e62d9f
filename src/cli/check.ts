import { readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Command } from 'commander';
import { readRecord } from '../record/read.ts';
import { RecordError, type SourceFile, type SpecimenRecord } from '../record/schema.ts';
import { sha256Hex } from '../record/sha256.ts';
import { EXIT, worst } from './exitCodes.ts';
import { plain } from './table.ts';

interface CheckOptions {
  readonly scans?: string;
  readonly quiet?: true;
}

export function checkCommand(): Command {
  return new Command('check')
    .description(
      'check specimen records: well-formed, readable here, and of the very scan or photographs they name',
    )
    .argument('<record...>', 'files that end in .specimen.json')
    .option('--scans <dir>', 'folder with the scans and photographs (default: the folder of each record)')
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText(
      'after',
      '\nExit code: 0 all in order, 2 usage, 3 a record is damaged, or its scan or a photograph of it has changed.',
    )
    .action(async (files: string[], options: CheckOptions) => {
      const codes: number[] = [];
      for (const file of files) codes.push(await checkRecord(file, options));
      process.exitCode = worst(codes);
    });
}

async function checkRecord(file: string, options: CheckOptions): Promise<number> {
  try {
    const record = readRecord(await readFile(file, 'utf8'));
    const found = await compareSource(record, options.scans ?? dirname(file));
    if (options.quiet !== true) console.log(`${plain(file)}: in order; ${found}`);
    return EXIT.fine;
  } catch (error) {
    console.error(`knapgauge: ${plain(file)}: ${plain((error as Error).message)}`);
    return EXIT.file;
  }
}

/** Whether the scan beside the record, or each of its photographs, is still the one that was measured. One that is not there is no fault. */
async function compareSource({ source }: SpecimenRecord, folder: string): Promise<string> {
  const noun = source.kind === 'scan' ? 'scan' : 'photograph';
  const files: readonly SourceFile[] = source.kind === 'scan' ? [source] : [source, ...source.views];
  const said: string[] = [];
  for (const file of files) said.push(`its ${noun} ${await compareFile(file, noun, folder)}`);
  return said.join('; ');
}

async function compareFile({ file, sha256 }: SourceFile, noun: string, folder: string): Promise<string> {
  // A record may come from anyone: its file name must not lead out of the folder.
  if (file === '' || file === '..' || /[/\\\0]/.test(file)) return 'was not looked for';
  let bytes: Uint8Array;
  try {
    bytes = await readFile(join(folder, file));
  } catch {
    return `${file} is not in ${folder}: --scans says where it is`;
  }
  if ((await sha256Hex(bytes)) !== sha256) {
    throw new RecordError(
      'scan-changed',
      `${file} is not the ${noun} that was measured: its SHA-256 differs.`,
    );
  }
  return `${file} is unchanged`;
}
