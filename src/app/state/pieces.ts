import { createStore } from 'zustand/vanilla';
import type { FamilyRows, MeasuredPiece, Relief } from '../../../workers/messages.ts';
import type { DemoPiece } from '../demo/demoDrawer.ts';
import type { Fault } from './fault.ts';

/** A piece in the drawer: where its scan comes from and, once seen, its picture and numbers. */
export interface Piece {
  /** Stable within the session; for demo pieces for ever. Stands in the address. */
  readonly id: string;
  readonly title: string;
  readonly number: string;
  /** What to look at; empty for a person's own scans. */
  readonly look: string;
  readonly fileName: string;
  readonly demo: boolean;
  /** Gives the scan's bytes. */
  readonly open: () => Promise<Blob>;
  /** Face A, as soon as it is traced. */
  readonly picture?: Relief;
  readonly seen?: MeasuredPiece;
  readonly fault?: Fault;
}

export interface PiecesState {
  readonly pieces: readonly Piece[];
  /** The catalogue of measures, once the worker has told it. */
  readonly families: readonly FamilyRows[];
}

export type PiecesStore = ReturnType<typeof createPieces>;

/** The drawer of this session: demo pieces first, then what was opened, newest first. */
export function createPieces(demos: readonly DemoPiece[]) {
  const store = createStore<PiecesState>(() => ({ pieces: demos.map(fromDemo), families: [] }));
  let opened = 0;
  return {
    ...store,
    find: (id: string): Piece | undefined => store.getState().pieces.find((piece) => piece.id === id),
    /** Puts files into the drawer and gives the new pieces. */
    add(files: readonly File[]): readonly Piece[] {
      const added = files.map((file): Piece => {
        opened += 1;
        return {
          id: `scan-${opened}`,
          title: nameOf(file.name),
          number: '',
          look: '',
          fileName: file.name,
          demo: false,
          open: async () => file,
        };
      });
      store.setState(({ pieces }) => ({ pieces: [...added, ...pieces] }));
      return added;
    },
    update(id: string, facts: Partial<Pick<Piece, 'picture' | 'seen' | 'fault'>>): void {
      store.setState(({ pieces }) => ({
        pieces: pieces.map((piece) => (piece.id === id ? { ...piece, ...facts } : piece)),
      }));
    },
    learn: (families: readonly FamilyRows[]): void => store.setState({ families }),
  };
}

function fromDemo(demo: DemoPiece): Piece {
  return {
    id: demo.id,
    title: demo.title,
    number: demo.number,
    look: demo.look,
    fileName: demo.fileName,
    demo: true,
    open: demo.open,
  };
}

/** A file's name without its ending. */
function nameOf(fileName: string): string {
  return fileName.replace(/\.[^.]+$/, '') || fileName;
}
