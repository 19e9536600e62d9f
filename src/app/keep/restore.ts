import { furtherInUse, type Piece, type PiecesStore, type Restored } from '../state/pieces.ts';
import type { FurtherPhoto } from '../state/views.ts';
import type { KeptPiece } from './database.ts';
import type { Keeper } from './keeper.ts';

/** What is kept of a piece. */
export function toKept(piece: Piece, removed: boolean): Omit<KeptPiece, 'revision'> {
  const { id, order, title, fileName, demo, history, catalogue, hand } = piece;
  const further = furtherInUse(piece).map(({ id, fileName }) => ({ id, fileName }));
  return { id, order, title, fileName, demo, removed, history, catalogue, hand, further };
}

/** The further photographs that may not be kept yet. */
export function photosAtHand(piece: Piece): readonly (readonly [id: string, file: Blob])[] {
  return furtherInUse(piece).flatMap(({ id, file }) => (file === undefined ? [] : [[id, file] as const]));
}

/** The further photographs of a kept piece, to be read when they are needed. */
export function furtherOf(keeper: Keeper, { id: piece, further = [] }: KeptPiece): readonly FurtherPhoto[] {
  return further.map(({ id, fileName }) => ({ id, fileName, open: () => keeper.photo(piece, id) }));
}

/** A kept piece as the drawer has it; its files are read when they are needed. */
export function fromKept(keeper: Keeper, piece: KeptPiece, open: () => Promise<Blob>): Restored {
  const { revision: _, ...kept } = piece;
  return { ...kept, number: piece.catalogue.number ?? '', further: furtherOf(keeper, piece), open };
}

/** Puts what was kept back into the drawer. A browser that keeps nothing is no reason not to work. */
export async function restoreDrawer(keeper: Keeper, pieces: PiecesStore): Promise<void> {
  try {
    const loaded = await keeper.load();
    pieces.restore(loaded.map(({ piece, scan }) => fromKept(keeper, piece, scan)));
  } catch (error) {
    keeper.refuse(error);
  }
}
