import type { BenchStore } from '../state/bench.ts';
import type { Edit, Piece, PiecesStore, Restored } from '../state/pieces.ts';
import { importDrawer } from './drawerArchive.ts';
import { sameBytes } from './sameBytes.ts';
import { beganAlike, united } from './samePiece.ts';

interface Room {
  readonly pieces: PiecesStore;
  readonly bench: Pick<BenchStore, 'adopt'>;
}

/**
 * Takes the pieces of an archive into the drawer and says in a sentence or two what became of them. A piece that is here
 * already, with the same files, stays one: it takes over what the archive says of it and nobody has said here. Where both
 * say something else of it, both are kept. Throws an error of one plain sentence; then nothing is taken in.
 */
export async function bringDrawer(archive: Blob, { pieces, bench }: Room): Promise<string> {
  const brought = await importDrawer(archive, pieces.nextOrder());
  const others = new Set(pieces.getState().pieces);
  const fresh: Restored[] = [];
  const edits: [id: string, edit: Edit][] = [];
  const count = { alike: 0, apart: 0 };
  const open = opener();
  for (const piece of brought) {
    const here = await sameHere(piece, [...others], open);
    const ways = here.flatMap((one) => {
      const edit = united(one, piece, pieces.begunAs(one));
      return edit === null ? [] : [{ one, edit, size: Object.keys(edit).length }];
    });
    const [best] = ways.toSorted((a, b) => a.size - b.size);
    if (best === undefined) {
      fresh.push(piece);
      if (here.length > 0) count.apart += 1;
      continue;
    }
    // Who has the same piece twice, of two observers for example, gets it back twice.
    others.delete(best.one);
    if (best.size === 0) count.alike += 1;
    else edits.push([best.one.id, withPhotos(best.edit, best.one, piece)]);
  }
  pieces.bring(fresh);
  for (const [id, edit] of edits) {
    pieces.edit(id, edit);
    pieces.adopt(id, edit);
    const piece = pieces.find(id);
    if (piece !== undefined) bench.adopt(piece);
  }
  return saidOf({ ...count, fresh: fresh.length, told: edits.length });
}

/** Each file of the drawer is opened once, however many pieces it is compared with. */
function opener(): (file: Pick<Piece, 'open'>) => Promise<Blob | undefined> {
  const opened = new Map<object, Promise<Blob | undefined>>();
  return (file) => {
    // A file that is not to be had is no other piece's.
    const blob = opened.get(file) ?? file.open().catch(() => undefined);
    opened.set(file, blob);
    return blob;
  };
}

/** The pieces of the drawer that have the same scan or photographs. */
async function sameHere(
  { fileName, history, further, file }: Restored & { readonly file: Blob },
  drawer: readonly Piece[],
  open: ReturnType<typeof opener>,
): Promise<readonly Piece[]> {
  const same: Piece[] = [];
  for (const piece of drawer) {
    // Scans of demo pieces are fetched to be compared: those alone that may be the same.
    if ((piece.demo && piece.fileName !== fileName) || !beganAlike(piece.history, history)) continue;
    const scan = await open(piece);
    if (scan === undefined || !(await sameBytes(scan, file))) continue;
    const photos = await Promise.all(
      further.map(async (photo) => {
        const mine = piece.further.find(({ id }) => id === photo.id);
        const blob = mine && (await open(mine));
        return blob === undefined || sameBytes(blob, await photo.open());
      }),
    );
    if (photos.every(Boolean)) same.push(piece);
  }
  return same;
}

/** Settings that are taken over bring the photographs along that they name. */
function withPhotos(edit: Edit, here: Piece, there: Restored): Edit {
  if (edit.history === undefined) return edit;
  const known = new Set(here.further.map(({ id }) => id));
  return { ...edit, further: [...here.further, ...there.further.filter(({ id }) => !known.has(id))] };
}

interface Counts {
  readonly fresh: number;
  readonly alike: number;
  readonly told: number;
  readonly apart: number;
}

export function saidOf({ fresh, alike, told, apart }: Counts): string {
  const many = (n: number, one: string, more: string): string =>
    n === 0 ? '' : n === 1 ? `One piece ${one}.` : `${n} pieces ${more}.`;
  return [
    many(fresh, 'was brought in', 'were brought in'),
    many(alike, 'was in the drawer already', 'were in the drawer already'),
    many(
      told,
      'that was in the drawer took over what the archive says of it',
      'that were in the drawer took over what the archive says of them',
    ),
    many(
      apart,
      'is now there twice, since the drawer and the archive say different things of it',
      'are now there twice, since the drawer and the archive say different things of them',
    ),
  ]
    .filter((words) => words !== '')
    .join(' ');
}
