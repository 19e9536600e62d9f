import { stat } from 'node:fs/promises';
import { totalmem } from 'node:os';

/** Memory at the peak of measuring a scan, in times its file's size (PLY; see `npm run bench`). */
const TIMES = 8;

/** What can be had, bytes: a container may be given less than the machine has. */
function memoryHere(): number {
  const constrained = process.constrainedMemory();
  return constrained > 0 && constrained < totalmem() ? constrained : totalmem();
}

/** A sentence where a scan of so many bytes may need more memory than there is; undefined where it will do. */
export function memoryDoubt(bytes: number, memory: number): string | undefined {
  const needed = TIMES * bytes;
  if (needed <= memory) return undefined;
  return `The scan may need ${gigabytes(needed)} of memory, and there are ${gigabytes(memory)}: if it fails, thin it where it was made, or measure it on a larger machine.`;
}

/** Tells, before anything is measured, which files may be too large for this machine. Files that are not there say so later. */
export async function tellMemoryDoubts(
  paths: readonly string[],
  tell: (line: string) => void,
): Promise<void> {
  for (const path of paths) {
    const size = (await stat(path).catch(() => undefined))?.size ?? 0;
    const doubt = memoryDoubt(size, memoryHere());
    if (doubt !== undefined) tell(`${path}: ${doubt}`);
  }
}

function gigabytes(bytes: number): string {
  return `${Number((bytes / 2 ** 30).toPrecision(2))} GB`;
}
