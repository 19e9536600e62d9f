import { bringDrawer } from './keep/bringDrawer.ts';
import type { LineupStore } from './lineup/state.ts';
import type { BenchStore } from './state/bench.ts';
import { companionsOf, companionWords, mayHaveCompanions } from './state/companions.ts';
import type { PiecesStore } from './state/pieces.ts';
import type { Queue } from './state/queue.ts';
import type { Route } from './state/route.ts';
import { sortFiles } from './state/sortFiles.ts';

/**
 * Puts files where they belong. A single scan or photograph goes straight to the bench; several go into the drawer's
 * queue, where each is measured in its turn. Records and tables of hand measurements are compared in the lineup.
 */
export function createTake(
  pieces: PiecesStore,
  bench: Pick<BenchStore, 'adopt'>,
  queue: Queue,
  lineup: Pick<LineupStore, 'read' | 'openHand'>,
  goTo: (route: Route) => void,
) {
  const bring = async (file: File): Promise<void> => {
    try {
      queue.tell(file.name, await bringDrawer(file, { pieces, bench }));
    } catch (error) {
      queue.refuse(file.name, error instanceof Error ? error.message : String(error));
    }
  };
  const put = (files: readonly File[]): void => {
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
    for (const drawer of sorted.drawers) void bring(drawer);
    void lineup.read(sorted.records);
    for (const table of sorted.tables) void lineup.openHand(table);
    if (sorted.tables.length + sorted.records.length < files.length) goTo({ place: 'drawer' });
    else goTo({ place: 'lineup', view: sorted.tables.length > 0 ? 'hand' : 'table' });
  };
  const putWithout = async (files: readonly File[]): Promise<void> => {
    const companions = await companionsOf(files);
    const left = new Set([...companions.materials, ...companions.pictures]);
    put(files.filter((file) => !left.has(file)));
    if (left.size > 0) queue.tell(...companionWords(companions));
  };
  return (files: readonly File[]): void => {
    if (mayHaveCompanions(files)) void putWithout(files);
    else put(files);
  };
}
