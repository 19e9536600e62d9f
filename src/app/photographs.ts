import type { Queue } from './state/queue.ts';

/** The way in for photographs that were dropped or chosen among other files. */
export function takePhotographs(files: readonly File[], queue: Queue): void {
  for (const { name } of files) {
    queue.refuse(
      name,
      'This is a photograph. It needs a scale before it can be measured: the photo job opens it, not the queue of scans.',
    );
  }
}
