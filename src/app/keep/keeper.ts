import { createStore } from 'zustand/vanilla';
import { DATABASE, type Database, furtherKey, type KeptPiece, openDatabase } from './database.ts';

/** How it stands with what was changed last. */
export type Keeping =
  | { readonly state: 'kept' | 'saving' }
  /** `why` is one sentence. */
  | { readonly state: 'failed'; readonly why: string };

export interface Loaded {
  readonly piece: KeptPiece;
  readonly scan: () => Promise<Blob>;
}

/** Pieces that are read in one go. */
const AT_ONCE = 250;

export type Keeper = ReturnType<typeof createKeeper>;

/** What a tab tells the others after it has changed a piece. */
interface Told {
  readonly id: string;
}

/**
 * Keeps pieces in the browser's own database, each change in one transaction that is flushed to the disk before it
 * counts as kept. Changes are made one after another, in order. A change of a piece that another tab has changed in the
 * meantime is refused: `elsewhere` is then told the piece as that tab left it. Where the browser's space is full, `makeRoom`
 * is asked for some, once, before a change counts as not kept. `isAlone` says whether no other tab shows this drawer.
 */
export function createKeeper(
  elsewhere: (piece: KeptPiece) => void,
  makeRoom: () => Promise<void> = async () => undefined,
  open = openDatabase,
  isAlone: () => Promise<boolean> = async () => true,
) {
  const store = createStore<Keeping>(() => ({ state: 'kept' }));
  const revisions = new Map<string, number>();
  const channel = new BroadcastChannel(DATABASE);
  let database: Promise<Database> | undefined;
  let last: Promise<void> = Promise.resolve();
  let waiting = 0;

  const opened = (): Promise<Database> => {
    database ??= open().catch((error) => {
      database = undefined;
      throw error;
    });
    return database;
  };

  channel.addEventListener('message', ({ data }: MessageEvent<Told>) => void refresh(data.id));

  async function refresh(id: string): Promise<void> {
    const piece = await (await opened()).get('pieces', id);
    if (piece === undefined || piece.revision === revisions.get(id)) return;
    revisions.set(id, piece.revision);
    elsewhere(piece);
  }

  /** Queues one change; its promise settles when it is on the disk, or has failed, and never rejects. */
  function inOrder(write: (database: Database) => Promise<void>): Promise<void> {
    waiting += 1;
    store.setState({ state: 'saving' }, true);
    last = last.then(async () => {
      try {
        await write(await opened()).catch(async (error: unknown) => {
          const name = error instanceof DOMException ? error.name : '';
          if (name === 'QuotaExceededError') await makeRoom();
          // The database was closed or wiped under us: it is opened, or made, afresh.
          else if (name === 'InvalidStateError') database = undefined;
          else throw error;
          await write(await opened());
        });
        waiting -= 1;
        if (waiting === 0) store.setState({ state: 'kept' }, true);
      } catch (error) {
        waiting -= 1;
        store.setState({ state: 'failed', why: whyNot(error) }, true);
      }
    });
    return last;
  }

  return {
    ...store,
    /** Says why nothing can be kept. */
    refuse: (error: unknown): void => store.setState({ state: 'failed', why: whyNot(error) }, true),
    /** Everything that is kept, scans on demand. Scans of pieces that were taken out before are cleared away. */
    async load(): Promise<readonly Loaded[]> {
      const there = await opened();
      const all = await allPieces(there);
      const gone = all.filter(({ removed, demo }) => removed && !demo);
      // Another tab may still put back what was taken out there.
      if (await isAlone()) for (const { id } of gone) await forget(there, id);
      const pieces = all.filter((piece) => !gone.includes(piece));
      for (const { id, revision } of pieces) revisions.set(id, revision);
      return pieces.map((piece) => ({ piece, scan: () => scanOf(piece.id) }));
    },
    /** What a piece is measured from, as it was kept. */
    scan: (piece: string): Promise<Blob> => scanOf(piece),
    /** A further photograph of a piece, as it was kept. */
    photo: (piece: string, id: string): Promise<Blob> => scanOf(furtherKey(piece, id)),
    /** Keeps a piece as it is now; and `scan`, the file that it is measured from, and `further` photographs, unless they are kept already. */
    put(
      piece: Omit<KeptPiece, 'revision'>,
      scan?: Blob,
      further: readonly (readonly [id: string, file: Blob])[] = [],
    ): Promise<void> {
      return inOrder(async (there) => {
        const transaction = there.transaction(['pieces', 'scans'], 'readwrite', { durability: 'strict' });
        const pieces = transaction.objectStore('pieces');
        const known = revisions.get(piece.id);
        const stored = await pieces.get(piece.id);
        if (stored !== undefined && stored.revision !== known) {
          revisions.set(piece.id, stored.revision);
          elsewhere(stored);
          return;
        }
        const revision = (known ?? 0) + 1;
        const scans = transaction.objectStore('scans');
        const files: (readonly [key: string, file: Blob])[] = further.map(([id, file]) => [
          furtherKey(piece.id, id),
          file,
        ]);
        if (scan !== undefined) files.push([piece.id, scan]);
        const counts = await Promise.all(files.map(([key]) => scans.count(key)));
        const fresh = files.filter((_, k) => counts[k] === 0);
        await Promise.all([
          pieces.put({ ...piece, revision }),
          ...fresh.map(([key, file]) => scans.put(file, key)),
          transaction.done,
        ]);
        revisions.set(piece.id, revision);
        channel.postMessage({ id: piece.id } satisfies Told);
      });
    },
  };

  async function scanOf(id: string): Promise<Blob> {
    const scan = await (await opened()).get('scans', id);
    if (scan === undefined) throw new Error('the scan is not kept any more');
    return scan;
  }
}

/** Some at a time: reading thousands at once would hold up the page. */
async function allPieces(there: Database): Promise<readonly KeptPiece[]> {
  const all: KeptPiece[] = [];
  for (let after: IDBKeyRange | undefined; ; ) {
    const some = await there.getAll('pieces', after, AT_ONCE);
    all.push(...some);
    const last = some.at(-1);
    if (last === undefined || some.length < AT_ONCE) return all;
    after = IDBKeyRange.lowerBound(last.id, true);
  }
}

async function forget(database: Database, id: string): Promise<void> {
  const transaction = database.transaction(['pieces', 'scans'], 'readwrite');
  await Promise.all([
    transaction.objectStore('pieces').delete(id),
    transaction.objectStore('scans').delete(id),
    // Everything from `id/` on, up to the sign that follows the slash.
    transaction.objectStore('scans').delete(IDBKeyRange.bound(`${id}/`, `${id}0`, false, true)),
    transaction.done,
  ]);
}

function whyNot(error: unknown): string {
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  if (name === 'QuotaExceededError')
    return 'The disk space that this browser allows is full: what was changed last is not kept. Export the drawer, or take pieces out of it.';
  if (name === 'VersionError')
    return 'This drawer was kept by a newer version of the workbench; it was left untouched, and changes are not kept.';
  return 'This browser does not keep the drawer at present: what was changed last is lost when the page is closed. Export what you need.';
}
