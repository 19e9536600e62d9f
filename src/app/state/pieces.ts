import { createStore } from 'zustand/vanilla';
import type { FamilyRows, MeasuredPiece, Relief } from '../../../workers/messages.ts';
import type { Catalogue } from '../../record/schema.ts';
import type { AllSettings } from '../../record/settings.ts';
import type { DemoPiece } from '../demo/demoDrawer.ts';
import { type Anew, askedOf, settingsKey } from '../keep/measured.ts';
import { type Fault, isFileGone, needsHand } from './fault.ts';
import type { HandReadings } from './handReadings.ts';
import { packedRecord } from './packedRecord.ts';
import { type SettingsHistory, UNTOUCHED } from './settingsHistory.ts';
import { type FurtherPhoto, photosInUse } from './views.ts';

/** A piece in the drawer: where its scan comes from and, once seen, its picture and numbers. */
export interface Piece {
  /** Never changes. Stands in the address. */
  readonly id: string;
  readonly title: string;
  readonly number: string;
  /** What to look at; empty for a person's own scans. */
  readonly look: string;
  readonly fileName: string;
  readonly demo: boolean;
  /** Higher was opened later. */
  readonly order: number;
  /** What was asked of the program, and everything that was asked before. */
  readonly history: SettingsHistory;
  /** What an analyst records of it. */
  readonly catalogue: Catalogue;
  readonly hand: HandReadings;
  /** The file itself, when it was opened in this session. */
  readonly file?: Blob;
  /** Tells the scan's content where that is known without reading it. */
  readonly mark?: string;
  /** Gives the scan's bytes. */
  readonly open: () => Promise<Blob>;
  /** Further photographs of it. */
  readonly further: readonly FurtherPhoto[];
  /** Face A, as soon as it is traced. */
  readonly picture?: Relief;
  readonly seen?: MeasuredPiece;
  /** Why it is measured, or was, although it had been measured before. */
  readonly anew?: Anew;
  /** What an earlier version of the program measured of it: shown where its file is gone, so that it can't be measured anew. */
  readonly older?: MeasuredPiece;
  readonly fault?: Fault;
  /** Measured as it is in this session, even where memory may not suffice. */
  readonly whole?: boolean;
}

/** What a person may change of a piece. */
export type Edit = Partial<Pick<Piece, 'title' | 'history' | 'catalogue' | 'hand' | 'further'>>;

export interface PiecesState {
  readonly pieces: readonly Piece[];
  /** Taken out of the drawer, the latest last; can be put back. */
  readonly takenOut: readonly Piece[];
  /** Pieces whose numbers are kept and are on their way: they are not to be measured. */
  readonly recalling: ReadonlySet<string>;
  /** The catalogue of measures, once the worker has told it. */
  readonly families: readonly FamilyRows[];
}

/** What came of looking for a piece's numbers among those that are kept. */
export interface Recalled {
  readonly id: string;
  readonly seen?: MeasuredPiece;
  readonly picture?: Relief;
  readonly anew?: Anew;
  readonly older?: MeasuredPiece;
}

export type PiecesStore = ReturnType<typeof createPieces>;

/**
 * The drawer: a person's own pieces, newest first, then demo pieces. `keep` is told every piece that is new, changed,
 * taken out or put back; `onSeen` every piece that was measured.
 */
export function createPieces(
  demos: readonly DemoPiece[],
  keep: (piece: Piece, removed: boolean) => void = () => undefined,
  onSeen: (piece: Piece, seen: MeasuredPiece) => void = () => undefined,
) {
  const store = createStore<PiecesState>(() => ({
    pieces: demos.map(fromDemo),
    takenOut: [],
    recalling: new Set<string>(),
    families: [],
  }));
  const { getState, setState } = store;
  const begun = new Map(getState().pieces.map((piece) => [piece.id, piece]));
  const find = (id: string): Piece | undefined => getState().pieces.find((piece) => piece.id === id);
  const replace = (id: string, facts: Partial<Piece>): void =>
    setState(({ pieces }) => ({
      pieces: pieces.map((piece) => (piece.id === id ? { ...piece, ...facts } : piece)),
    }));

  return {
    ...store,
    find,
    /** What was written of a piece before a person wrote anything. */
    begunAs({ id, fileName }: Piece): Pick<Piece, 'title' | 'catalogue' | 'hand'> {
      return begun.get(id) ?? { title: nameOf(fileName), catalogue: {}, hand: {} };
    },
    /** Puts files into the drawer and gives the new pieces. */
    add(files: readonly File[]): readonly Piece[] {
      const first = this.nextOrder();
      const added = files.map((file, k): Piece => fromFile(file, first + k));
      setState(({ pieces }) => ({ pieces: inOrder([...added, ...pieces]) }));
      for (const piece of added) keep(piece, false);
      return added;
    },
    /** Takes in what was kept: own pieces are added, demo pieces get back what was done to them. */
    restore(kept: readonly Restored[]): void {
      const known = new Map(getState().pieces.map((piece) => [piece.id, piece]));
      const out: Piece[] = [];
      for (const { removed, ...facts } of kept) {
        const there = known.get(facts.id);
        if (there === undefined && facts.demo) continue;
        const piece: Piece = there?.demo
          ? { ...there, ...edited(facts), further: joined(there.further, facts.further) }
          : { look: '', ...facts };
        if (removed) out.push(piece);
        if (removed) known.delete(piece.id);
        else known.set(piece.id, piece);
      }
      setState({ pieces: inOrder([...known.values()]), takenOut: out });
    },
    /** The place in the order that the next new piece gets. */
    nextOrder: (): number => getState().pieces.reduce((most, { order }) => Math.max(most, order), 0) + 1,
    /** Takes in new pieces that were kept elsewhere. */
    bring(brought: readonly Restored[]): void {
      const added = brought.map(({ removed: _, ...facts }): Piece => ({ look: '', ...facts }));
      setState(({ pieces }) => ({ pieces: inOrder([...added, ...pieces]) }));
      for (const piece of added) keep(piece, false);
    },
    update(id: string, facts: Partial<Pick<Piece, 'picture' | 'seen' | 'fault'>>): void {
      setState(({ pieces }) => ({
        pieces: pieces.map((piece) => (piece.id === id ? told(piece, facts) : piece)),
      }));
      const piece = facts.seen && find(id);
      if (facts.seen !== undefined && piece !== undefined) onSeen(piece, facts.seen);
    },
    /** Numbers of these pieces are kept, and will be recalled. */
    expect: (ids: readonly string[]): void => setState({ recalling: new Set(ids) }),
    /** Takes in what was kept; a piece that was measured in the meantime stays as it is. */
    recall(found: readonly Recalled[]): void {
      const byId = new Map(found.map((one) => [one.id, one]));
      setState(({ pieces, recalling }) => ({
        recalling: new Set([...recalling].filter((id) => !byId.has(id))),
        pieces: pieces.map((piece) => {
          const facts = byId.get(piece.id);
          if (facts === undefined || piece.seen !== undefined) return piece;
          if (facts.seen !== undefined && !answers(facts.seen, piece.history)) return piece;
          const { seen, older } = facts;
          return {
            ...piece,
            ...facts,
            ...(seen && { seen: slim(seen) }),
            ...(older && { older: slim(older) }),
          };
        }),
      }));
    },
    /** What was measured of a piece does not hold: it is measured again. */
    doubt(id: string, anew?: Anew): void {
      const piece = find(id);
      if (piece === undefined) return;
      const { seen: _, picture: __, older: ___, ...rest } = piece;
      setState(({ pieces }) => ({
        pieces: pieces.map((other) => (other.id === id ? { ...rest, ...(anew && { anew }) } : other)),
      }));
    },
    /** Puts the same file in again, once for each of the settings, as pieces of their own: what else its picture shows. */
    repeat(id: string, file: Blob, each: readonly (readonly [name: string, settings: AllSettings])[]): void {
      const piece = find(id);
      if (piece === undefined) return;
      const { title, fileName } = piece;
      const first = this.nextOrder();
      this.bring(
        each.map(
          ([name, settings], k): Restored => ({
            id: crypto.randomUUID(),
            title: `${title}, ${name}`,
            number: '',
            fileName,
            demo: false,
            removed: false,
            order: first + k,
            history: { past: [], present: settings, future: [] },
            catalogue: {},
            hand: {},
            further: [],
            file,
            open: async () => file,
          }),
        ),
      );
    },
    /** Takes in a piece that another tab has put into the drawer, or lets go of one that it has taken out. */
    follow({ removed, ...facts }: Restored): void {
      const { id, demo } = facts;
      const back = getState().takenOut.find((piece) => piece.id === id);
      // Which demo pieces there are is for the page to say.
      const piece = back ?? find(id) ?? (demo ? undefined : { look: '', ...facts });
      if (piece === undefined) return;
      setState(({ pieces, takenOut, recalling }) => ({
        pieces: removed
          ? pieces.filter((other) => other.id !== id)
          : inOrder([...pieces.filter((other) => other.id !== id), piece]),
        // Of a person's own piece the other tab has the way back, which may have been none at all.
        takenOut: [...takenOut.filter((other) => other.id !== id), ...(removed && demo ? [piece] : [])],
        recalling: removed ? recalling : new Set([...recalling, id]),
      }));
    },
    /** Takes over a change that was made in another tab. */
    adopt(id: string, { further = [], ...edit }: Edit): void {
      const there = find(id)?.further ?? [];
      replace(id, { ...withNumber(edit), further: joined(there, further) });
      const piece = find(id);
      if (piece?.seen !== undefined && !answers(piece.seen, piece.history)) this.doubt(id, 'settings');
    },
    /** Holds further photographs ready; they are kept as soon as the settings of the piece show them. */
    hold: (id: string, further: readonly FurtherPhoto[]): void => replace(id, { further }),
    edit(id: string, edit: Edit): void {
      replace(id, withNumber(edit));
      const piece = find(id);
      if (piece !== undefined) keep(piece, false);
    },
    takeOut(id: string): void {
      const piece = find(id);
      if (piece === undefined) return;
      setState(({ pieces, takenOut }) => ({
        pieces: pieces.filter((other) => other.id !== id),
        takenOut: [...takenOut, piece],
      }));
      keep(piece, true);
    },
    /** Takes a piece away for good: it turned out to be none. */
    discard(id: string): void {
      const piece = find(id);
      if (piece === undefined) return;
      setState(({ pieces }) => ({ pieces: pieces.filter((other) => other.id !== id) }));
      keep(piece, true);
    },
    /**
     * A piece can't be measured. A file that was opened just now and can't even be read leaves nothing behind: of anything
     * else, and of what was written of it, its card says what is wrong.
     */
    fail(id: string, fault: Fault, seen: boolean): void {
      const piece = find(id);
      if (piece === undefined) return;
      if (seen || needsHand(fault) || !isJustOpened(piece)) this.update(id, { fault });
      else this.discard(id);
    },
    /** Puts a single piece in that was away. */
    putIn(piece: Piece): void {
      setState(({ pieces }) => ({ pieces: inOrder([...pieces, piece]) }));
      keep(piece, false);
    },
    /** Puts back what was taken out last, or everything. */
    putBack(all = false): void {
      const { takenOut } = getState();
      const back = all ? takenOut : takenOut.slice(-1);
      setState(({ pieces }) => ({
        pieces: inOrder([...pieces, ...back]),
        takenOut: takenOut.slice(0, takenOut.length - back.length),
      }));
      for (const piece of back) keep(piece, false);
    },
    /** Forgets what went wrong, so that the piece is measured again. */
    forgive: (id: string, whole: boolean): void =>
      setState(({ pieces }) => ({
        pieces: pieces.map((piece) => {
          if (piece.id !== id) return piece;
          const { fault: _, ...rest } = piece;
          return { ...rest, whole };
        }),
      })),
    learn: (families: readonly FamilyRows[]): void => setState({ families }),
  };
}

/** What was measured is the answer to what is asked now. */
export function answers(seen: MeasuredPiece, { present }: SettingsHistory): boolean {
  return settingsKey(askedOf(seen)) === settingsKey(present);
}

/** What an earlier version of the program measured of a piece with its settings, where its file is gone. */
export function leftOf({ seen, fault, older, history }: Piece): MeasuredPiece | undefined {
  const gone = seen === undefined && fault !== undefined && isFileGone(fault);
  return gone && older !== undefined && answers(older, history) ? older : undefined;
}

/** The further photographs that some state of a piece's settings still shows. */
export function furtherInUse({
  further,
  history: { past, present, future },
}: Piece): readonly FurtherPhoto[] {
  return photosInUse(further, [...past, present, ...future]);
}

/** What is new of a piece. Once it is measured, its picture and an older fault have had their day. */
function told(piece: Piece, facts: Partial<Piece>): Piece {
  if (facts.seen === undefined) return { ...piece, ...facts };
  const { fault: _, picture: __, older: ___, anew, ...rest } = piece;
  // That settings were changed is no news to who changed them.
  const news = anew === undefined || anew === 'settings' ? {} : { anew };
  return { ...rest, ...facts, seen: slim(facts.seen), ...news };
}

/** What the drawer holds of a measured piece, of which there may be hundreds: what only the bench draws is left out. */
function slim({ drawn: _, packed: __, record, ...pictures }: MeasuredPiece): MeasuredPiece {
  return { ...pictures, record: packedRecord(record) };
}

/** A piece as it was kept. */
export type Restored = Omit<
  Piece,
  'look' | 'mark' | 'picture' | 'seen' | 'anew' | 'older' | 'fault' | 'whole'
> & {
  readonly removed: boolean;
};

function edited({ title, history, catalogue, hand }: Omit<Restored, 'removed'>): Edit {
  return withNumber({ title, history, catalogue, hand });
}

/** A catalogue number that was typed is the one that is shown. */
function withNumber(edit: Edit): Edit & { number?: string } {
  const number = edit.catalogue?.number;
  return number === undefined ? edit : { ...edit, number };
}

/** Photographs that are here already stay as they are: they may be at hand, which kept ones are not. */
function joined(here: readonly FurtherPhoto[], kept: readonly FurtherPhoto[]): readonly FurtherPhoto[] {
  return [...here, ...kept.filter(({ id }) => here.every((photo) => photo.id !== id))];
}

/** Own pieces first, the newest of them first; demo pieces as they are listed. */
function inOrder(pieces: readonly Piece[]): readonly Piece[] {
  return pieces.toSorted((a, b) => Number(a.demo) - Number(b.demo) || b.order - a.order);
}

function fromFile(file: File, order: number): Piece {
  return {
    id: crypto.randomUUID(),
    title: nameOf(file.name),
    number: '',
    look: '',
    fileName: file.name,
    demo: false,
    order,
    history: UNTOUCHED,
    catalogue: {},
    hand: {},
    further: [],
    file,
    open: async () => file,
  };
}

/** Opened in this session, and nothing was told of it yet. */
function isJustOpened({ demo, file, title, fileName, history, catalogue, hand, further }: Piece): boolean {
  const told = [history.past, history.future, Object.keys(catalogue), Object.keys(hand), further];
  return (
    !demo && file !== undefined && title === nameOf(fileName) && told.every(({ length }) => length === 0)
  );
}

function fromDemo(demo: DemoPiece, place: number): Piece {
  return {
    id: demo.id,
    title: demo.title,
    number: demo.number,
    look: demo.look,
    fileName: demo.fileName,
    demo: true,
    order: -place,
    history: { ...UNTOUCHED, present: demo.settings },
    catalogue: { number: demo.number, ...demo.catalogue },
    hand: {},
    mark: demo.address,
    further: demo.further,
    open: demo.open,
  };
}

/** A file's name without its ending. */
function nameOf(fileName: string): string {
  return fileName.replace(/\.[^.]+$/, '') || fileName;
}
