import { importDrawer } from './keep/drawerArchive.ts';
import type { PiecesStore } from './state/pieces.ts';
import type { Queue } from './state/queue.ts';
import type { Route } from './state/route.ts';
import { sortFiles } from './state/sortFiles.ts';

/**
 * Puts files where they belong. A single scan or photograph goes straight to the bench; several go into the drawer's
 * queue, where each is measured in its turn.
 */
export function createTake(pieces: PiecesStore, queue: Queue, goTo: (route: Route) => void) {
  return (files: readonly File[]): void => {
    if (files.length === 0) return;
    const sorted = sortFiles(files);
    // A browser that is short of space clears away what it was not asked to keep.
    if (sorted.pieces.length > 0) void navigator.storage?.persist?.();
    const added = pieces.add(sorted.pieces);
    if (files.length === 1 && added.length === 1) {
      goTo({ place: 'bench', piece: added[0].id });
      return;
    }
    queue.add(added);
    for (const drawer of sorted.drawers) void bringDrawer(drawer, pieces, queue);
    goTo({ place: 'drawer' });
  };
}

async function bringDrawer(file: File, pieces: PiecesStore, queue: Queue): Promise<void> {
  try {
    pieces.bring(await importDrawer(file, pieces.nextOrder()));
  } catch (error) {
    queue.refuse(file.name, error instanceof Error ? error.message : String(error));
  }
}
