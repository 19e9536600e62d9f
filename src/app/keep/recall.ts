import { type Remote, wrap } from 'comlink';
import type { DigestApi } from '../../../workers/digest.browser.ts';
import type { Drawing, MeasuredPiece } from '../../../workers/messages.ts';
import { type Packed, pack, unpack } from '../../../workers/packing.ts';
import type { Piece, PiecesStore, Recalled } from '../state/pieces.ts';
import { factsOf, fromKeptMeasured, measuredName, toKeptMeasured, whyAnew } from './measured.ts';
import type { MeasuredStore } from './measuredStore.ts';

/** Pieces whose cards are filled in one go: each go draws the drawer once. */
const AT_ONCE = 24;

/** Keeps what was measured of a piece, once it is on show; and its drawing, where it comes packed. */
export function keepMeasured(
  store: MeasuredStore,
  engine: string,
  { id, mark = '', seen }: Piece,
  packed: Packed | undefined,
): void {
  if (seen === undefined) return;
  void toKeptMeasured(id, engine, mark, seen).then((kept) => kept && store.put(kept));
  if (packed !== undefined) void keepPacked(store, engine, { id, mark }, seen, packed);
}

/** How long settings are left alone before what is drawn with them is kept, ms. */
const SETTLED = 1500;

/** Keeps what the bench has drawn, once nobody changes it any more; and recalls what was kept of a piece. */
export function createDrawings(store: MeasuredStore, engine: string) {
  let waiting: ReturnType<typeof setTimeout> | undefined;
  return {
    keep(piece: Piece, seen: MeasuredPiece, drawing: Drawing | undefined): void {
      clearTimeout(waiting);
      if (drawing === undefined) return;
      waiting = setTimeout(() => void keepPacked(store, engine, piece, seen, pack(drawing)), SETTLED);
    },
    async recall({ id, mark = '', seen }: Piece): Promise<Drawing | undefined> {
      if (seen === undefined) return undefined;
      const packed = await store.drawing(id, measuredName(factsOf(engine, mark, seen)));
      try {
        return packed && ((await unpack(packed)) as Drawing);
      } catch {
        // What the disk has lost is drawn again.
        return undefined;
      }
    },
  };
}

async function keepPacked(
  store: MeasuredStore,
  engine: string,
  { id, mark = '' }: Pick<Piece, 'id' | 'mark'>,
  seen: MeasuredPiece,
  packed: Packed,
): Promise<void> {
  const name = measuredName(factsOf(engine, mark, seen));
  await store.putDrawing({ id, name, at: Date.now(), size: packed.bytes.size, packed });
}

/**
 * Finds out of which pieces numbers are kept, and recalls those of one of them, which is waited for. Gives a function that
 * recalls the others, in the order of the drawer, and settles with those that were recalled.
 */
export async function recallMeasured(
  store: MeasuredStore,
  engine: string,
  pieces: PiecesStore,
  first: string | null,
): Promise<() => Promise<readonly string[]>> {
  const kept = new Set(await store.ids());
  const { pieces: inDrawer, takenOut } = pieces.getState();
  const known = new Set([...inDrawer, ...takenOut].map(({ id }) => id));
  void store.drop([...kept].filter((id) => !known.has(id)));
  const wanted = inDrawer.map(({ id }) => id).filter((id) => kept.has(id));
  pieces.expect(wanted);
  const recalled: string[] = [];

  async function recall(ids: readonly string[]): Promise<void> {
    const found: Recalled[] = [];
    // One after another: what is read is unpacked by the page itself.
    for (const id of ids) found.push(await lookUp(store, engine, pieces, id));
    pieces.recall(found);
    recalled.push(...found.flatMap(({ id, seen }) => (seen === undefined ? [] : [id])));
  }

  if (first !== null && kept.has(first)) await recall([first]);
  return async () => {
    const rest = wanted.filter((id) => id !== first);
    for (let k = 0; k < rest.length; k += AT_ONCE) await recall(rest.slice(k, k + AT_ONCE));
    return recalled;
  };
}

/** What is kept of one piece, where it answers what is asked of it. */
export async function lookUp(
  store: MeasuredStore,
  engine: string,
  pieces: PiecesStore,
  id: string,
): Promise<Recalled> {
  const there = await store.get(id);
  const piece = pieces.find(id);
  if (there === undefined || piece === undefined) return { id };
  const anew = whyAnew(there, { engine, mark: piece.mark ?? '', settings: piece.history.present });
  if (anew === null) return { id, seen: fromKeptMeasured(there) };
  // Another program sees the same face; other settings, or another scan, show another.
  return anew === 'program'
    ? { id, anew, picture: there.pictures.reliefA, older: fromKeptMeasured(there) }
    : { id, anew };
}

/**
 * Reads the scans of recalled pieces once more, one after another in a worker, and sees whether they are still those that
 * were measured; `onOther` is told each that is not. Demo pieces are known by their address.
 */
export async function checkScans(
  pieces: PiecesStore,
  ids: readonly string[],
  onOther: (id: string) => void,
): Promise<void> {
  const own = ids.filter((id) => pieces.find(id)?.mark === undefined);
  if (own.length === 0) return;
  const worker = new Worker(new URL('../../../workers/digest.browser.ts', import.meta.url), {
    type: 'module',
    name: 'digest',
  });
  try {
    const remote: Remote<DigestApi> = wrap<DigestApi>(worker);
    for (const id of own) {
      const start = performance.now();
      if (!(await isSame(pieces, id, remote))) {
        pieces.doubt(id, 'scan');
        onOther(id);
      }
      // Half of the time the disk is left to others.
      await new Promise((resolve) => setTimeout(resolve, performance.now() - start));
    }
  } finally {
    worker.terminate();
  }
}

async function isSame(pieces: PiecesStore, id: string, remote: Remote<DigestApi>): Promise<boolean> {
  const piece = pieces.find(id);
  if (piece?.seen === undefined) return true;
  try {
    return (await remote.digest(await piece.open())) === piece.seen.record.source.sha256;
  } catch {
    // A scan that can't be read says so when it is measured.
    return true;
  }
}
