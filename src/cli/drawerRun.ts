import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { ViewName } from '../trace/types.ts';
import type { Shard } from './drawer.ts';
import type { ResultOptions } from './drawerResults.ts';
import { writeAtomically } from './outputFiles.ts';

export interface RunPiece {
  readonly file: string;
  readonly name: string;
  readonly views?: Readonly<Partial<Record<ViewName, string>>>;
}

/** What a run over a drawer was about: kept with its results, so that parts can be put together. */
export interface Run extends ResultOptions {
  /** Every piece of the whole drawer in its order: its file, the name of its results, and further photographs of it by their views. */
  readonly files: readonly RunPiece[];
  readonly shard?: Shard | undefined;
}

const RUN = 'run.json';
const FORMAT = 'knapgauge-run';

/** Keeps what a run is about. True where the very same was kept already. */
export async function writeRun(out: string, run: Run): Promise<boolean> {
  const { files, shard, findSpots, licence, source, passedOver, textures } = run;
  // Absent entries are left out of JSON.
  const kept = { format: FORMAT, version: 1, shard, findSpots, licence, source, files, passedOver, textures };
  const text = `${JSON.stringify(kept, null, 1)}\n`;
  if ((await readFile(join(out, RUN), 'utf8').catch(() => '')) === text) return true;
  await writeAtomically(join(out, RUN), text);
  return false;
}

/** The run whose results lie in a folder; undefined where there is none. */
export async function readRun(out: string): Promise<Run | undefined> {
  try {
    const run = JSON.parse(await readFile(join(out, RUN), 'utf8')) as Run & {
      format: string;
      version: number;
    };
    return run.format === FORMAT && run.version === 1 && Array.isArray(run.files) ? run : undefined;
  } catch {
    return undefined;
  }
}
