import { proxy, type Remote, wrap } from 'comlink';
import { createStore } from 'zustand/vanilla';
import type { LineupApi, Refused } from '../../../workers/lineupMessages.ts';
import type { Collection } from '../../drawer/collection.ts';
import type { Grouping } from '../../drawer/lean.ts';
import type { SpecimenRecord } from '../../record/schema.ts';
import type { PiecesStore } from '../state/pieces.ts';

/** `picked` tells the picked pieces from all others. */
export type GroupBy = Grouping | 'picked' | 'none';

export interface LineupState {
  /** Null until the first pieces have been laid out. */
  readonly collection: Collection | null;
  /** Files read and files in all while records are being read; null otherwise. */
  readonly reading: { readonly done: number; readonly all: number } | null;
  readonly refused: readonly Refused[];
  readonly groupBy: GroupBy;
  /** Keys of the picked pieces, in the order in which they were picked. */
  readonly picked: readonly string[];
  /** Ids of measures: the columns of the table, the two of the scatter, the one of the distribution. */
  readonly columns: readonly string[];
  readonly x: string;
  readonly y: string;
  readonly one: string;
}

/** Shown until one chooses. */
export const FIRST_COLUMNS = [
  'length',
  'width',
  'thickness',
  'width.thickness',
  'edge.angle.mean',
  'symmetry.overlap',
  'humps.count',
];

const EMPTY: LineupState = {
  collection: null,
  reading: null,
  refused: [],
  groupBy: 'none',
  picked: [],
  columns: FIRST_COLUMNS,
  x: 'length',
  y: 'width.thickness',
  one: 'width.thickness',
};

export type LineupStore = ReturnType<typeof createLineup>;

/** The collection that is compared. Its pieces live in a worker of their own; the page holds columns of numbers. */
export function createLineup(pieces: PiecesStore) {
  const store = createStore<LineupState>(() => EMPTY);
  const { getState, setState } = store;
  /** What the worker has of each piece of the drawer. */
  const told = new Map<string, SpecimenRecord>();
  let remote: Remote<LineupApi> | undefined;

  function worker(): Remote<LineupApi> {
    remote ??= wrap<LineupApi>(
      new Worker(new URL('../../../workers/lineup.browser.ts', import.meta.url), {
        type: 'module',
        name: 'lineup',
      }),
    );
    return remote;
  }

  async function lay(): Promise<void> {
    const collection = await worker().collection();
    setState({ collection });
  }

  /** Tells the worker of pieces of the drawer that were measured, or measured anew. */
  async function gather(): Promise<void> {
    const fresh = pieces
      .getState()
      .pieces.filter(({ id, seen }) => seen !== undefined && told.get(id) !== seen.record);
    for (const { id, title, number, seen } of fresh) {
      if (seen === undefined) continue;
      told.set(id, seen.record);
      const name = seen.record.catalogue.number || number || title;
      await worker().put(id, name, seen.record);
    }
    if (fresh.length > 0 || getState().collection === null) await lay();
  }

  return {
    ...store,
    worker,
    /** Follows the drawer until the returned function is called. */
    follow(): () => void {
      void gather();
      return pieces.subscribe(() => void gather());
    },
    async read(files: readonly File[]): Promise<void> {
      if (files.length === 0 || getState().reading !== null) return;
      setState({ reading: { done: 0, all: files.length }, refused: [] });
      const refused = await worker().read(
        files,
        proxy((done: number) => setState({ reading: { done, all: files.length } })),
      );
      await lay();
      setState({ reading: null, refused });
    },
    set: (part: Partial<Pick<LineupState, 'groupBy' | 'columns' | 'x' | 'y' | 'one'>>): void =>
      setState(part),
    /** Picks a piece, or lets it go if it was picked. */
    pick(key: string): void {
      const { picked } = getState();
      setState({ picked: picked.includes(key) ? picked.filter((one) => one !== key) : [...picked, key] });
    },
    unpick: (): void => setState({ picked: [] }),
  };
}
