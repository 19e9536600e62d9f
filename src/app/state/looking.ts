import type { Engine } from './bench.ts';
import { faultOf } from './fault.ts';
import type { Piece, PiecesStore } from './pieces.ts';

/**
 * Measures the drawer's pieces one after another for their cards, while nothing more pressing is going on.
 * `start` and `stop` may be called at any time and any number of times.
 */
export function createLooking(engine: Engine, pieces: PiecesStore) {
  let wanted = false;
  let busy = false;
  let runs = 0;

  async function lookOn(): Promise<void> {
    if (busy) return;
    busy = true;
    for (let piece = next(); wanted && piece !== undefined; piece = next()) await lookAt(piece);
    busy = false;
  }

  function next(): Piece | undefined {
    return pieces.getState().pieces.find(({ seen, fault }) => seen === undefined && fault === undefined);
  }

  async function lookAt(piece: Piece): Promise<void> {
    runs += 1;
    const run = runs;
    try {
      const file = await piece.open();
      if (!wanted) return;
      const outcome = await engine.measure(
        {
          run,
          source: piece.id,
          file,
          fileName: piece.fileName,
          settings: piece.history.present,
          want: 'card',
        },
        {
          progress: () => undefined,
          traced: () => undefined,
          pictured: (_, picture) => pieces.update(piece.id, { picture }),
        },
      );
      if (outcome.ok) pieces.update(piece.id, { seen: outcome.piece });
      else if (!outcome.cancelled) pieces.update(piece.id, { fault: faultOf(outcome.failure) });
    } catch {
      const code = piece.demo ? 'demo-missing' : 'file-missing';
      const failure = { name: 'IntakeError', code, message: `${piece.fileName} could not be opened.` };
      pieces.update(piece.id, { fault: faultOf(failure) });
    }
  }

  return {
    start(): void {
      wanted = true;
      void lookOn();
    },
    stop(): void {
      wanted = false;
      engine.cancel();
    },
  };
}
