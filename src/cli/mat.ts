import { mkdir } from 'node:fs/promises';
import { dirname, extname } from 'node:path';
import { Command, Option } from 'commander';
import type { MatPaper } from '../intake/photoTypes.ts';
import { MAT_PAPERS } from '../intake/scaleMatLayout.ts';
import { drawMat } from '../plate/mat.ts';
import { matSvg } from '../plate/matSvg.ts';
import { EXIT } from './exitCodes.ts';
import { writeAtomically } from './outputFiles.ts';
import { plain } from './table.ts';

const FORMATS = ['pdf', 'svg'] as const;
type Format = (typeof FORMATS)[number];

interface MatOptions {
  readonly paper: MatPaper;
  readonly format?: Format;
  readonly out: string;
  readonly quiet?: true;
}

export function matCommand(): Command {
  return new Command('mat')
    .description('write a scale mat to print: photographs of a piece on it are true to scale without a hand')
    .addOption(new Option('--paper <paper>', 'paper to print on').choices(MAT_PAPERS).default('A4'))
    .addOption(new Option('--format <format>', 'kind of file (default: as --out ends)').choices(FORMATS))
    .requiredOption('-o, --out <file>', 'file to write')
    .option('-q, --quiet', 'print nothing but errors')
    .addHelpText('after', '\nExit code: 0 written, 2 usage, 3 the file could not be written.')
    .action(async (options: MatOptions) => {
      process.exitCode = await writeMat(options);
    });
}

async function writeMat({ paper, format, out, quiet }: MatOptions): Promise<number> {
  const chosen = format ?? FORMATS.find((known) => extname(out).toLowerCase() === `.${known}`);
  if (chosen === undefined) {
    console.error(`knapgauge: ${plain(out)} ends in neither .pdf nor .svg: name the kind with --format`);
    return EXIT.usage;
  }
  try {
    await mkdir(dirname(out), { recursive: true });
    // The PDF library is large: only who writes PDF waits for it.
    const write = chosen === 'svg' ? matSvg : (await import('../plate/matPdf.ts')).matPdf;
    await writeAtomically(out, write(drawMat(paper)));
  } catch (error) {
    console.error(
      `knapgauge: ${plain(out)}: The mat could not be written: ${plain((error as Error).message)}.`,
    );
    return EXIT.file;
  }
  if (quiet !== true) {
    console.log(
      `${plain(out)}: a scale mat for ${paper}. Print it at 100 %, measure its bar, and keep the paper flat.`,
    );
  }
  return EXIT.fine;
}
