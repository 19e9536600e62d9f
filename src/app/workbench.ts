import { createContext, useContext } from 'react';
import { useStore } from 'zustand';
import type { Keeper, Keeping } from './keep/keeper.ts';
import type { BenchState, BenchStore } from './state/bench.ts';
import type { PiecesState, PiecesStore } from './state/pieces.ts';
import type { Route } from './state/route.ts';

/** What every part of the page may reach: the drawer, the bench and the way between places. */
export interface Workbench {
  readonly keeper: Keeper;
  readonly pieces: PiecesStore;
  readonly bench: BenchStore;
  readonly goTo: (route: Route) => void;
  /** Puts files into the drawer and lays the first on the bench. */
  readonly take: (files: readonly File[]) => void;
}

export const WorkbenchContext = createContext<Workbench | null>(null);

export function useWorkbench(): Workbench {
  const workbench = useContext(WorkbenchContext);
  if (workbench === null) throw new Error('used outside the workbench');
  return workbench;
}

export function useBench<T>(select: (state: BenchState) => T): T {
  return useStore(useWorkbench().bench, select);
}

export function usePieces<T>(select: (state: PiecesState) => T): T {
  return useStore(useWorkbench().pieces, select);
}

export function useKeeping(): Keeping {
  return useStore(useWorkbench().keeper);
}
