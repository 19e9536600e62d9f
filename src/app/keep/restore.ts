import type { Piece, PiecesStore } from '../state/pieces.ts';
import type { KeptPiece } from './database.ts';
import type { Keeper } from './keeper.ts';

/** What is kept of a piece. */
export function toKept(piece: Piece, removed: boolean): Omit<KeptPiece, 'revision'> {
  const { id, order, title, fileName, demo, history, catalogue, hand } = piece;
  return { id, order, title, fileName, demo, removed, history, catalogue, hand };
}

/** Puts what was kept back into the drawer. A browser that keeps nothing is no reason not to work. */
export async function restoreDrawer(keeper: Keeper, pieces: PiecesStore): Promise<void> {
  try {
    const loaded = await keeper.load();
    pieces.restore(
      loaded.map(({ piece: { revision: _, ...piece }, scan }) => ({
        ...piece,
        number: piece.catalogue.number ?? '',
        open: scan,
      })),
    );
  } catch (error) {
    keeper.refuse(error);
  }
}
