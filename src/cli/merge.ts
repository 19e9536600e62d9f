import { copyFile, mkdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Command } from 'commander';
import { csvParse } from 'd3-dsv';
import { meshEnding } from '../../workers/outputs.ts';
import { MESH_KINDS } from '../record/meshFile.ts';
import { type Failure, isThere, PIECES, writeResults } from './drawerResults.ts';
import { type Run, readRun, writeRun } from './drawerRun.ts';
import { EXIT } from './exitCodes.ts';
import { plain } from './table.ts';

/** What a piece may have; its record comes last, as the mark that the piece is done. */
const ENDINGS = ['.sheet.svg', ...MESH_KINDS.map(meshEnding), '.specimen.json'];

export function mergeCommand(): Command {
  return new Command('merge')
    .description('put the parts of a drawer together that were measured with --shard')
    .argument('<dir...>', 'folders of all parts')
    .requiredOption('-o, --out <dir>', 'folder for the whole; made if missing')
    .action(async (parts: string[], { out }: { out: string }) => {
      try {
        process.exitCode = await mergeParts(parts, out);
      } catch (error) {
        console.error(`knapgauge: ${plain((error as Error).message)}`);
        process.exitCode = EXIT.usage;
      }
    });
}

/** The same bytes as one run over the whole drawer would have given. */
async function mergeParts(parts: readonly string[], out: string): Promise<number> {
  const runs = await Promise.all(parts.map(partOf));
  const [first] = runs;
  const n = first.shard.n;
  const odd = runs.findIndex((run) => run.shard.n !== n || wholeOf(run) !== wholeOf(first));
  if (odd >= 0)
    throw new Error(`${parts[odd]} is a part of another drawer than ${parts[0]}, or of another cut of it.`);
  const folders: readonly (string | undefined)[] = Array.from(
    { length: n },
    (_, k) => parts[runs.findIndex(({ shard }) => shard.k === k + 1)],
  );
  const missing = folders.indexOf(undefined);
  if (missing >= 0) throw new Error(`Part ${missing + 1}/${n} is missing.`);
  const whole = folders as readonly string[];
  await mkdir(join(out, PIECES), { recursive: true });
  for (const [index, { name }] of first.files.entries()) {
    for (const ending of ENDINGS) {
      const from = join(whole[index % n], PIECES, name + ending);
      if (await isThere(from)) await copyFile(from, join(out, PIECES, name + ending));
    }
  }
  const failed = new Map(
    (await Promise.all(whole.map(failuresOf))).flat().map((failure) => [failure.file, failure]),
  );
  const { files, shard: _, ...about } = first;
  await writeRun(out, { files, ...about });
  await writeResults(
    out,
    files.map(({ name }) => name),
    files.flatMap(({ file }) => failed.get(file) ?? []),
    about,
  );
  return failed.size === 0 ? EXIT.fine : EXIT.file;
}

/** What all parts of one drawer have in common. */
function wholeOf({ shard: _, ...rest }: Run): string {
  return JSON.stringify(rest);
}

async function partOf(folder: string): Promise<Run & { shard: NonNullable<Run['shard']> }> {
  const run = await readRun(folder);
  if (run?.shard === undefined) throw new Error(`${folder} holds no part that was measured with --shard.`);
  if (!(await isThere(join(folder, 'datapackage.json'))))
    throw new Error(`The part in ${folder} is not finished: run it again.`);
  return { ...run, shard: run.shard };
}

async function failuresOf(folder: string): Promise<Failure[]> {
  return [...csvParse(await readFile(join(folder, 'failures.csv'), 'utf8'))].map((row) => ({
    file: unguarded(row.file),
    code: unguarded(row.code),
    message: unguarded(row.message),
  }));
}

/** Text without the apostrophe that guards spreadsheets. */
function unguarded(cell: string): string {
  return cell.replace(/^'(?=[=+\-@\t\r])/, '');
}
