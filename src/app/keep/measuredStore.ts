import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import { createStore } from 'zustand/vanilla';
import type { KeptMeasured } from './measured.ts';

interface Keeping extends DBSchema {
  measured: { key: string; value: KeptMeasured };
}

type Database = IDBPDatabase<Keeping>;

export const MEASURED_DATABASE = 'knapgauge-measured';
export const MEASURED_VERSION = 1;

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
      if (kept !== undefined) known.set(id, nameOf(kept));
      return kept;
    },
    async put(kept: KeptMeasured): Promise<void> {
      const name = nameOf(kept);
      if (store.getState().full || known.get(kept.id) === name) return;
      try {
        await ask((there) => there.put('measured', kept));
        known.set(kept.id, name);
      } catch (error) {
        if (error instanceof DOMException && error.name === 'QuotaExceededError')
          store.setState({ full: true });
      }
    },
    async drop(ids: readonly string[]): Promise<void> {
      for (const id of ids) known.delete(id);
      // What can't be dropped now is found, and dropped, the next time.
      await Promise.allSettled(ids.map((id) => ask((there) => there.delete('measured', id))));
    },
    /** Gives all its room to what can't be had again, and takes no more. */
    async makeRoom(): Promise<void> {
      store.setState({ full: true });
      known.clear();
      await ask((there) => there.clear('measured')).catch(() => undefined);
    },
  };
}

/** The same measuring gives the same name, and need not be written twice. */
function nameOf({ engine, mark, sha256, settings }: KeptMeasured): string {
  return [engine, mark, sha256, settings].join('\n');
}

function openDatabase(): Promise<Database> {
  return openDB<Keeping>(MEASURED_DATABASE, MEASURED_VERSION, {
    upgrade(database) {
      database.createObjectStore('measured', { keyPath: 'id' });
    },
    blocking: (_, __, event) => (event.target as IDBDatabase).close(),
  });
}
