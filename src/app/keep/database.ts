import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { Catalogue } from '../../record/schema.ts';
import type { HandReadings } from '../state/handReadings.ts';
import type { SettingsHistory } from '../state/settingsHistory.ts';

/** What is kept of a piece besides its scan. */
export interface KeptPiece {
  readonly id: string;
  /** Grows by one with every change, in whichever tab it is made. */
  readonly revision: number;
  /** Higher was opened later. */
  readonly order: number;
  readonly title: string;
  readonly fileName: string;
  readonly demo: boolean;
  /** Taken out of the drawer; its scan is cleared away when the page is opened the next time. */
  readonly removed: boolean;
  readonly history: SettingsHistory;
  readonly catalogue: Catalogue;
  readonly hand: HandReadings;
  /** Its further photographs; kept beside its scan. Absent in what older pages kept. */
  readonly further?: readonly { readonly id: string; readonly fileName: string }[];
}

/** Under which key a further photograph is kept: with that of its piece in front. */
export function furtherKey(piece: string, photo: string): string {
  return `${piece}/${photo}`;
}

interface Keeping extends DBSchema {
  pieces: { key: string; value: KeptPiece };
  scans: { key: string; value: Blob };
}

export type Database = IDBPDatabase<Keeping>;

export const DATABASE = 'knapgauge';
const VERSION = 1;

/** Opens the browser's own database of this page. Throws where the browser allows none, or a newer page has made it. */
export function openDatabase(): Promise<Database> {
  return openDB<Keeping>(DATABASE, VERSION, {
    upgrade(database) {
      database.createObjectStore('pieces', { keyPath: 'id' });
      database.createObjectStore('scans');
    },
    // A newer page in another tab wants to change the database: it may.
    blocking: (_, __, event) => (event.target as IDBDatabase).close(),
  });
}
