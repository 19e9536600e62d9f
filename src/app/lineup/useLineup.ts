import { createContext, useContext, useMemo } from 'react';
import { useStore } from 'zustand';
import type { Collection, MeasureColumn } from '../../drawer/collection.ts';
import { groupsOf, type PieceGroup } from './groups.ts';
import type { LineupState, LineupStore } from './state.ts';

export const LineupContext = createContext<LineupStore | null>(null);

export function useLineupStore(): LineupStore {
  const store = useContext(LineupContext);
  if (store === null) throw new Error('used outside the lineup');
  return store;
}

export function useLineup<T>(select: (state: LineupState) => T): T {
  return useStore(useLineupStore(), select);
}

/** The groups that are chosen, of the collection that is laid out. */
export function useGroups(collection: Collection): readonly PieceGroup[] {
  const by = useLineup((state) => state.groupBy);
  const picked = useLineup((state) => state.picked);
  const labels = useLineup((state) => state.labels);
  // Picks change nothing in groups that do not rest on them.
  const asked = by === 'picked' ? picked : NO_PICKS;
  return useMemo(() => groupsOf(collection, by, asked, labels), [collection, by, asked, labels]);
}

const NO_PICKS: readonly string[] = [];

/** A measure by its id; the first there is when no piece has that one. */
export function measureOf({ measures }: Collection, id: string): MeasureColumn {
  return measures.find((measure) => measure.id === id) ?? measures[0];
}
