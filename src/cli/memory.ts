import { open, stat } from 'node:fs/promises';
import { availableParallelism, totalmem } from 'node:os';
import type { FileJob } from '../../workers/fileJob.ts';
import { hasEnding, PHOTO_ENDINGS } from '../intake/fileEndings.ts';
import { bestThinning, FORETOLD_FROM, photoNeeds, type ScanNeeds, scanNeeds } from '../intake/foretell.ts';

/** What can be had, bytes: a container may be given less than the machine has. */
export function memoryHere(): number {
  const constrained = process.constrainedMemory();
  return constrained > 0 && constrained < totalmem() ? constrained : totalmem();
}

/** A sentence where measuring a scan may need more memory than there is; undefined where it will do. */
export function memoryDoubt(needs: ScanNeeds, thin: number | undefined, memory: number): string | undefined {
  const needed = thin === undefined ? needs.whole : needs.thinned(thin);
  if (needed <= memory) return undefined;
  const best = bestThinning(needs, memory);
  const way =
    best === undefined || (thin !== undefined && thin <= best)
      ? 'thin it where it was made, or measure it on a larger machine'
      : `--thin ${best} needs ${gigabytes(needs.thinned(best))}`;
  return `The scan has about ${millions(needs.triangles)} triangles and may need ${gigabytes(needed)} of memory, and there are ${gigabytes(memory)}: if it fails, ${way}.`;
}

/** Tells, before anything is measured, which files may be too large for this machine. Files that are not there say so later. */
export async function tellMemoryDoubts(
  paths: readonly string[],
  thin: number | undefined,
  tell: (line: string) => void,
  memory = memoryHere(),
): Promise<void> {
  for (const path of paths) {
    const needs = await needsOf(path);
    const doubt = needs === undefined ? undefined : memoryDoubt(needs, thin, memory);
    if (doubt !== undefined) tell(`${path}: ${doubt}`);
  }
}

/** Small files are not even looked into. */
const SMALL = 64e6;

async function needsOf(path: string): Promise<ScanNeeds | undefined> {
  const found = await stat(path).catch(() => undefined);
  if (found === undefined || !found.isFile() || found.size < SMALL) return undefined;
  const file = await open(path).catch(() => undefined);
  if (file === undefined) return undefined;
  try {
    const head = new Uint8Array(FORETOLD_FROM);
    const { bytesRead } = await file.read(head, 0, head.length, 0);
    return scanNeeds(head.subarray(0, bytesRead), found.size);
  } finally {
    await file.close();
  }
}

/** The photographs of a job, by their names. */
export function photosOf({ path, views = [] }: Pick<FileJob, 'path' | 'views'>): readonly string[] {
  return [path, ...views.map((view) => view.path)].filter((file) => hasEnding(file, PHOTO_ENDINGS));
}

/** Share of the memory that photographs may fill; the rest is the system's, and for what a picture needs beyond the common. */
const FILLED = 0.7;

/**
 * How many pieces are measured at once: as many as asked for, else one a core, or fewer where photographs of the size of the
 * largest would fill the memory. What is asked for and may be too much is told.
 */
export async function lanes(
  asked: number | undefined,
  photos: readonly string[],
  tell: (line: string) => void,
  memory = memoryHere(),
): Promise<number> {
  const cores = availableParallelism();
  if (photos.length === 0 || (asked ?? cores) === 1) return asked ?? cores;
  const needed = photoNeeds(await largestPicture(photos));
  const fit = Math.max(1, Math.floor((FILLED * memory) / needed));
  if (asked === undefined) return Math.min(cores, fit);
  const atOnce = Math.min(asked, photos.length);
  if (atOnce > fit) {
    tell(
      `${atOnce} photographs at once may need ${gigabytes(atOnce * needed)} of memory, and there are ${gigabytes(memory)}: if it fails, --jobs ${fit} needs ${gigabytes(fit * needed)}.`,
    );
  }
  return asked;
}

/** Pixels of the largest, by their headers. What can't be read is told when it is measured. */
async function largestPicture(paths: readonly string[]): Promise<number> {
  const { default: sharp } = await import('sharp');
  let most = 0;
  for (const path of paths) {
    const { width, height } = await sharp(path)
      .metadata()
      .catch(() => ({ width: 0, height: 0 }));
    most = Math.max(most, width * height);
  }
  return most;
}

function gigabytes(bytes: number): string {
  return `${Number((bytes / 1e9).toPrecision(2))} GB`;
}

function millions(count: number): string {
  return `${Number((count / 1e6).toPrecision(2))} million`;
}
