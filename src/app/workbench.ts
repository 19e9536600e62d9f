import { createContext, useContext } from 'react';
import { useStore } from 'zustand';
import type { PhotoApi } from '../../workers/messages.ts';
import type { DrawerPlace } from './drawer/place.ts';
import type { Keeper, Keeping } from './keep/keeper.ts';
import type { MeasuredStore } from './keep/measuredStore.ts';
import type { BenchStore } from './state/bench.ts';
import type { BenchState } from './state/benchState.ts';
import type { FindingState, FindingStore } from './state/finding.ts';
import type { Guide, GuideState } from './state/guide.ts';
import type { PiecesState, PiecesStore } from './state/pieces.ts';
import type { Queue, QueueEntries } from './state/queue.ts';
import type { Route } from './state/route.ts';

/** What every part of the page may reach: the drawer, the bench and the way between places. */
export interface Workbench {
  readonly keeper: Keeper;
  /** What was measured, kept for the next time. */
  readonly measured: MeasuredStore;
  readonly pieces: PiecesStore;
  readonly bench: BenchStore;
  readonly queue: Queue;
  readonly finding: FindingStore;
  readonly drawerPlace: DrawerPlace;
  readonly guide: Guide;
  readonly goTo: (route: Route) => void;
  /** What is asked of the worker for photographs besides measuring. */
  readonly photos: Pick<PhotoApi, 'slenderness' | 'wire'>;
  /** Puts files into the drawer: one scan goes on to the bench, several are measured one after another. */
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

/** What is measured is not kept for the next time: there is no room. */
export function useNumbersNotKept(): boolean {
  return useStore(useWorkbench().measured, ({ full }) => full);
}

export function useQueue<T>(select: (state: QueueEntries) => T): T {
  return useStore(useWorkbench().queue, select);
}

export function useGuide<T>(select: (state: GuideState) => T): T {
  return useStore(useWorkbench().guide, select);
}

export function useFinding(): FindingState {
  return useStore(useWorkbench().finding);
}
