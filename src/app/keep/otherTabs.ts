import type { BenchStore } from '../state/bench.ts';
import type { PiecesStore } from '../state/pieces.ts';
import type { KeptPiece } from './database.ts';
import { ENGINE_MARK } from './engineMark.ts';
import type { Keeper } from './keeper.ts';
import type { MeasuredStore } from './measuredStore.ts';
import { lookUp } from './recall.ts';
import { fromKept, furtherOf } from './restore.ts';

/** Held, with others, by every tab that shows the drawer, for as long as it is open. */
const LOCK = 'knapgauge drawer';

/**
 * Tells the other tabs that this one shows the drawer, and gives whether it is the only one. Where a browser has no locks
 * every tab takes itself for the only one.
 */
export async function joinTabs(locks: LockManager | undefined = navigator.locks): Promise<boolean> {
  if (locks === undefined) return true;
  const { held = [] } = await locks.query();
  const others = held.some(({ name }) => name === LOCK);
  // Never let go of: that the tab is closed does it.
  void locks.request(LOCK, { mode: 'shared' }, () => new Promise<never>(() => undefined));
  return !others;
}

interface Room {
  readonly keeper: Keeper;
  readonly pieces: PiecesStore;
  readonly bench: BenchStore;
  readonly measured: MeasuredStore;
}

/**
 * Takes over what another tab does to the drawer. What it puts in waits until this tab is seen: until then it is measured
 * there, and need not be measured here as well.
 */
export function followOtherTabs({ keeper, pieces, bench, measured }: Room): (kept: KeptPiece) => void {
  const unseen = new Map<string, KeptPiece>();
  const follow = (kept: KeptPiece): void => {
    const { id, title, history, catalogue, hand, removed } = kept;
    if (removed) {
      unseen.delete(id);
      // Who works on it here keeps it.
      if (bench.getState().piece?.id !== id) pieces.follow(fromKept(keeper, kept, () => keeper.scan(id)));
      return;
    }
    const isNew = pieces.find(id) === undefined;
    if (isNew && document.hidden) {
      unseen.set(id, kept);
      return;
    }
    if (isNew) pieces.follow(fromKept(keeper, kept, () => keeper.scan(id)));
    pieces.adopt(id, { title, history, catalogue, hand, further: furtherOf(keeper, kept) });
    if (isNew) void lookUp(measured, ENGINE_MARK, pieces, id).then((found) => pieces.recall([found]));
    const piece = pieces.find(id);
    if (piece !== undefined) bench.adopt(piece);
  };
  document.addEventListener('visibilitychange', () => {
    if (document.hidden) return;
    const waiting = [...unseen.values()];
    unseen.clear();
    for (const kept of waiting) follow(kept);
  });
  return follow;
}
