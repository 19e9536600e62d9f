import { type Remote, wrap } from 'comlink';
import { createStore } from 'zustand/vanilla';
import type { LineupApi, Refused } from '../../../workers/lineupMessages.ts';
import type { Collection } from '../../drawer/collection.ts';
import type { Labels } from '../../drawer/handLabels.ts';
import type { Grouping } from '../../drawer/lean.ts';
import { partsOf } from '../state/packedRecord.ts';
import type { Piece, PiecesStore } from '../state/pieces.ts';

/** `picked` tells the picked pieces from all others; a column of the table that was opened is named with its prefix. */
export type GroupBy = Grouping | TableGrouping | 'picked' | 'none';
type TableGrouping = `table:${string}`;
export const tableGrouping = (name: string): TableGrouping => `table:${name}`;

export interface LineupState {
  /** Null until the first pieces have been laid out. */
  readonly collection: Collection | null;
  /** Files read and files in all while records are being read; null otherwise. */
  readonly reading: { readonly done: number; readonly all: number } | null;
  readonly refused: readonly Refused[];
  /** Demo pieces take part. */
  readonly demo: boolean;
  readonly groupBy: GroupBy;
  /** Keys of the picked pieces, in the order in which they were picked. */
  readonly picked: readonly string[];
  /** Ids of measures: the columns of the table, the two of the scatter, the one of the distribution. */
  readonly columns: readonly string[];
  readonly x: string;
  readonly y: string;
  readonly one: string;
  /** The table of hand measurements that was opened last. */
  readonly hand: File | null;
  /** Its columns that tell the pieces into groups. */
  readonly labels: readonly Labels[];
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

/** Files handed to the worker at once: thousands in one go hold up the page. */
const AT_ONCE = 20;

const EMPTY: LineupState = {
  collection: null,
  reading: null,
  refused: [],
  demo: true,
  groupBy: 'none',
  picked: [],
  columns: FIRST_COLUMNS,
  x: 'length',
  y: 'width.thickness',
  one: 'width.thickness',
  hand: null,
  labels: [],
};

export type LineupStore = ReturnType<typeof createLineup>;

/** The collection that is compared. Its pieces live in a worker of their own; the page holds columns of numbers. */
export function createLineup(pieces: PiecesStore) {
  const store = createStore<LineupState>(() => EMPTY);
  const { getState, setState } = store;
  /** What the worker has of each piece of the drawer. */
  const told = new Map<string, Piece>();
  /** What was said of demo pieces; undefined while nothing was. */
  let asked: boolean | undefined;
  /** Records taken from files. */
  let taken = 0;
  let gathering: Promise<void> = Promise.resolve();
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

  /** Demo pieces are there to look round with; they keep out of a person's own collection unless asked in. */
  function wantsDemo(): boolean {
    const own = pieces.getState().pieces.some(({ demo, seen }) => !demo && seen !== undefined);
    return asked ?? (!own && taken === 0);
  }

  /** Brings the worker up to what is in the drawer, one time after another: two at once would undo each other's work. */
  function gather(): Promise<void> {
    gathering = gathering.catch(() => undefined).then(bringUp);
    return gathering;
  }

  /** What was measured, measured anew, described anew, taken out. */
  async function bringUp(): Promise<void> {
    const demo = wantsDemo();
    const here = pieces
      .getState()
      .pieces.filter((piece) => piece.seen !== undefined && (demo || !piece.demo));
    const keys = new Set(here.map(({ id }) => id));
    const gone = [...told.keys()].filter((key) => !keys.has(key));
    const fresh = here.filter((piece) => !same(told.get(piece.id), piece));
    for (const key of gone) told.delete(key);
    for (const piece of fresh) told.set(piece.id, piece);
    if (gone.length > 0) await worker().drop(gone);
    for (const { id, title, number, catalogue, seen } of fresh) {
      if (seen === undefined) continue;
      const written = { ...seen.record.catalogue, ...catalogue };
      const name = written.number || number || title;
      // The worker unpacks it: a drawer of thousands would hold up the page.
      const parts = await partsOf(seen.record);
      if (parts !== null) await worker().putPacked(id, name, parts, written);
      else await worker().put(id, name, { ...seen.record, catalogue: written });
    }
    if (getState().demo !== demo) setState({ demo });
    if (fresh.length + gone.length > 0 || getState().collection === null) await lay();
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
      setState({ refused: [] });
      const refused: Refused[] = [];
      for (let done = 0; done < files.length; done += AT_ONCE) {
        setState({ reading: { done, all: files.length } });
        refused.push(...(await worker().read(files.slice(done, done + AT_ONCE))));
      }
      taken += files.length - refused.length;
      await gather();
      await lay();
      setState({ reading: null, refused });
    },
    /** Lets demo pieces in, or keeps them out. */
    askDemo(wanted: boolean): void {
      asked = wanted;
      setState({ demo: wanted });
      void gather();
    },
    set: (part: Partial<Pick<LineupState, 'groupBy' | 'columns' | 'x' | 'y' | 'one'>>): void =>
      setState(part),
    /** Picks a piece, or lets it go if it was picked. */
    pick(key: string): void {
      const { picked } = getState();
      setState({ picked: picked.includes(key) ? picked.filter((one) => one !== key) : [...picked, key] });
    },
    /** Lays a table beside the pieces: its measures are compared, its other columns can tell groups. */
    async openHand(hand: File): Promise<void> {
      // Groups of another table mean nothing in this one.
      const stale = getState().groupBy.startsWith(tableGrouping(''));
      setState({ hand, labels: [], ...(stale ? { groupBy: 'none' } : {}) });
      const labels = await worker()
        .labels(hand)
        .catch(() => []);
      if (getState().hand === hand) setState({ labels });
    },
    /** Picks these pieces and no others. */
    pickOnly: (picked: readonly string[]): void => setState({ picked }),
    unpick: (): void => setState({ picked: [] }),
  };
}

/** Nothing that is compared has changed. */
function same(before: Piece | undefined, now: Piece): boolean {
  return (
    before !== undefined &&
    before.seen?.record === now.seen?.record &&
    before.catalogue === now.catalogue &&
    before.title === now.title
  );
}
