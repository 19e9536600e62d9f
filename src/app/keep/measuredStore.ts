import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import { createStore } from 'zustand/vanilla';
import type { Packed } from '../../../workers/packing.ts';
import { type KeptDrawing, type KeptMeasured, measuredName } from './measured.ts';

interface Keeping extends DBSchema {
  measured: { key: string; value: KeptMeasured };
  drawings: { key: string; value: KeptDrawing; indexes: { age: [at: number, size: number] } };
}

const STORES = ['measured', 'drawings'] as const;

type Database = IDBPDatabase<Keeping>;

export const MEASURED_DATABASE = 'knapgauge-measured';
export const MEASURED_VERSION = 2;

/** Drawings that are kept at most, bytes. One takes about a megabyte, that of a scan of millions of triangles ten. */
const MOST_DRAWN = 500e6;

export interface MeasuredState {
  /** The disk space that the browser allows is full: nothing more is kept here until the page is opened again. */
  readonly full: boolean;
}

export type MeasuredStore = ReturnType<typeof createMeasuredStore>;

/**
 * Keeps what was measured, so that it need not be measured again. It is a convenience: in a database of its own, which
 * may be lost, wiped or refused at any time without loss of anything that a person did. Nothing here ever rejects.
 */
export function createMeasuredStore(open: () => Promise<Database> = openDatabase) {
  const store = createStore<MeasuredState>(() => ({ full: false }));
  /** What was written or read last of each piece, but for the measured itself. */
  const known = new Map<string, string>();
  let database: Promise<Database> | undefined;
  /** There was no room for the last drawing. */
  let noDrawings = false;

  const opened = (): Promise<Database> => {
    database ??= open().catch((error) => {
      database = undefined;
      throw error;
    });
    return database;
  };

  /** Asks the database; one that was closed or wiped under us is opened, or made, afresh. */
  async function ask<T>(question: (there: Database) => Promise<T>): Promise<T> {
    try {
      return await question(await opened());
    } catch (error) {
      if (!(error instanceof DOMException) || error.name !== 'InvalidStateError') throw error;
      database = undefined;
      return question(await opened());
    }
  }

  return {
    ...store,
    /** Pieces of which something is kept. */
    ids: (): Promise<readonly string[]> => ask((there) => there.getAllKeys('measured')).catch(() => []),
    async get(id: string): Promise<KeptMeasured | undefined> {
      const kept = await ask((there) => there.get('measured', id)).catch(() => undefined);
      if (kept !== undefined) known.set(id, measuredName(kept));
      return kept;
    },
    async put(kept: KeptMeasured): Promise<void> {
      const name = measuredName(kept);
      if (store.getState().full || known.get(kept.id) === name) return;
      try {
        await ask((there) => there.put('measured', kept));
        known.set(kept.id, name);
      } catch (error) {
        if (error instanceof DOMException && error.name === 'QuotaExceededError')
          store.setState({ full: true });
      }
    },
    /** What is drawn of a piece that was measured under this name. */
    async drawing(id: string, name: string): Promise<Packed | undefined> {
      const kept = await ask((there) => there.get('drawings', id)).catch(() => undefined);
      return kept?.name === name ? kept.packed : undefined;
    },
    /** Keeps a drawing, in place of the oldest ones where they become too many. Where there is no room it is left out. */
    async putDrawing(kept: KeptDrawing): Promise<void> {
      if (store.getState().full || noDrawings) return;
      try {
        await ask((there) => there.put('drawings', kept));
        await ask(dropOldest);
      } catch (error) {
        noDrawings = error instanceof DOMException && error.name === 'QuotaExceededError';
      }
    },
    async drop(ids: readonly string[]): Promise<void> {
      for (const id of ids) known.delete(id);
      // What can't be dropped now is found, and dropped, the next time.
      await Promise.allSettled(
        ids.flatMap((id) => STORES.map((name) => ask((there) => there.delete(name, id)))),
      );
    },
    /** Gives all its room to what can't be had again, and takes no more. */
    async makeRoom(): Promise<void> {
      store.setState({ full: true });
      known.clear();
      await Promise.allSettled(STORES.map((name) => ask((there) => there.clear(name))));
    },
  };
}

/** The sizes stand in the index: no drawing is read. */
async function dropOldest(there: Database): Promise<void> {
  const ages = there.transaction('drawings').store.index('age');
  const old: string[] = [];
  let sum = 0;
  for (let at = await ages.openKeyCursor(null, 'prev'); at !== null; at = await at.continue()) {
    sum += at.key[1];
    if (sum > MOST_DRAWN) old.push(at.primaryKey);
  }
  await Promise.all(old.map((id) => there.delete('drawings', id)));
}

function openDatabase(): Promise<Database> {
  return openDB<Keeping>(MEASURED_DATABASE, MEASURED_VERSION, {
    upgrade(database, before) {
      if (before < 1) database.createObjectStore('measured', { keyPath: 'id' });
      database.createObjectStore('drawings', { keyPath: 'id' }).createIndex('age', ['at', 'size']);
    },
    blocking: (_, __, event) => (event.target as IDBDatabase).close(),
  });
}
