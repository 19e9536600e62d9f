import { createStore } from 'zustand/vanilla';
import type { PhotoSettings } from '../../trace/types.ts';
import type { Engine } from './bench.ts';
import type { Progress } from './benchState.ts';
import { type Fault, faultOf, needsHand } from './fault.ts';
import { filesOf } from './jobFiles.ts';
import type { Piece, PiecesStore } from './pieces.ts';
import { type Asked, change as changeSettings } from './settingsHistory.ts';

/**
 * `asking`: a photograph that lacks a scale, or a scan that memory may not suffice for, stays in the drawer. `told`: an
 * archive was taken in.
 */
export type QueueState =
  | 'waiting'
  | 'measuring'
  | 'measured'
  | 'asking'
  | 'failed'
  | 'cancelled'
  | 'refused'
  | 'told';

/** One file that was put in. */
export interface Queued {
  /** Of its piece; a file that was refused has none, and a name of its own here. */
  readonly id: string;
  readonly fileName: string;
  readonly state: QueueState;
  readonly progress: Progress;
  /** What became of it, when it failed, was refused, asks or was taken in; empty otherwise. */
  readonly what: string;
  /** What it asks for. */
  readonly fault?: Fault;
}

export interface QueueEntries {
  readonly entries: readonly Queued[];
}

export type Queue = ReturnType<typeof createQueue>;

/** What may still be measured. */
const OPEN: readonly QueueState[] = ['waiting', 'measuring', 'asking'];

/** What a photograph without a scale fails with. */
const SCALE_LACKS: readonly string[] = ['scale-missing', 'scale-ambiguous'];

const NOT_BEGUN: Progress = { fraction: 0, step: '' };

/**
 * Measures what lies in the drawer unmeasured: files of the queue first, in the order in which they were put in, then,
 * while `start` holds, every other piece for its card. Each engine takes one piece at a time. A file that fails leaves
 * the drawer and stays in the queue with its sentence; the others go on.
 */
export function createQueue(engines: readonly Engine[], pieces: PiecesStore) {
  const store = createStore<QueueEntries>(() => ({ entries: [] }));
  const { getState, setState } = store;
  /** Which piece each engine is at. */
  const atWork: (string | undefined)[] = engines.map(() => undefined);
  /** Pieces of files that left the drawer, for a second try. */
  const aside = new Map<string, Piece>();
  let looking = false;
  let runs = 0;

  const entryOf = (id: string): Queued | undefined => getState().entries.find((entry) => entry.id === id);
  const change = (id: string, facts: Partial<Queued>): void =>
    setState(({ entries }) => ({
      entries: entries.map((entry) => (entry.id === id ? { ...entry, ...facts } : entry)),
    }));

  function say(fileName: string, state: 'refused' | 'told', what: string): void {
    const entry: Queued = { id: crypto.randomUUID(), fileName, state, progress: NOT_BEGUN, what };
    setState(({ entries }) => ({ entries: [...entries, entry] }));
  }

  function next(): Piece | undefined {
    const { recalling } = pieces.getState();
    const free = ({ id, seen, fault }: Piece): boolean =>
      seen === undefined && fault === undefined && !atWork.includes(id) && !recalling.has(id);
    for (const { id, state } of getState().entries) {
      if (state !== 'waiting') continue;
      const piece = pieces.find(id);
      if (piece !== undefined && free(piece)) return piece;
    }
    return looking
      ? pieces.getState().pieces.find((piece) => free(piece) && entryOf(piece.id) === undefined)
      : undefined;
  }

  async function work(lane: number): Promise<void> {
    if (atWork[lane] !== undefined) return;
    for (let piece = next(); piece !== undefined; piece = next()) {
      atWork[lane] = piece.id;
      await lookAt(piece, engines[lane]);
      atWork[lane] = undefined;
    }
  }

  const wake = (): void => engines.forEach((_, lane) => void work(lane));

  async function lookAt(piece: Piece, engine: Engine): Promise<void> {
    const { id } = piece;
    const queued = entryOf(id) !== undefined;
    const wanted = (): boolean => (queued ? entryOf(id)?.state === 'measuring' : looking);
    if (queued) change(id, { state: 'measuring', progress: { fraction: 0, step: 'opening' } });
    runs += 1;
    const run = runs;
    try {
      const { fileName, history } = piece;
      const files = await filesOf(piece, history.present);
      if (!wanted()) return;
      const outcome = await engine.measure(
        {
          run,
          source: id,
          ...files,
          fileName,
          settings: history.present,
          whole: piece.whole === true,
          want: 'card',
        },
        {
          progress: (_, fraction, step) => wanted() && queued && change(id, { progress: { fraction, step } }),
          traced: () => undefined,
          pictured: (_, picture) => pieces.update(id, { picture }),
          photographed: () => undefined,
        },
      );
      if (outcome.ok) pieces.update(id, { seen: outcome.piece });
      else if (!outcome.cancelled) fail(piece, faultOf(outcome.failure).what, outcome.failure);
    } catch {
      const code = piece.demo ? 'demo-missing' : 'file-missing';
      const message = `${piece.fileName} could not be opened.`;
      fail(piece, message, { name: 'IntakeError', code, message });
    }
  }

  function fail(piece: Piece, what: string, failure: Parameters<typeof faultOf>[0]): void {
    const queued = entryOf(piece.id) !== undefined;
    if (!queued || needsHand(failure)) pieces.update(piece.id, { fault: faultOf(failure) });
    if (!queued) return;
    if (needsHand(failure)) {
      change(piece.id, { state: 'asking', what, fault: faultOf(failure) });
      return;
    }
    setAside(piece.id);
    change(piece.id, { state: 'failed', what });
  }

  /** What can't be measured, or is not to be, does not stay in the drawer. */
  function setAside(id: string): void {
    const piece = pieces.find(id);
    if (piece === undefined) return;
    aside.set(id, piece);
    pieces.discard(id);
  }

  /** Follows the drawer: what was measured elsewhere needs no measuring here, what was taken out no place. */
  pieces.subscribe(({ pieces: all }) => {
    const byId = new Map(all.map((piece) => [piece.id, piece]));
    const settled = getState().entries.flatMap((entry): Queued[] => {
      if (!OPEN.includes(entry.state)) return [entry];
      const piece = byId.get(entry.id);
      if (piece === undefined) return aside.has(entry.id) ? [entry] : [];
      return [piece.seen === undefined ? entry : { ...entry, state: 'measured', what: '' }];
    });
    if (
      settled.some((entry, k) => entry !== getState().entries[k]) ||
      settled.length < getState().entries.length
    )
      setState({ entries: settled });
    wake();
  });

  return {
    ...store,
    /** Puts pieces of the drawer into the queue. */
    add(added: readonly Piece[]): void {
      const fresh = added.map(({ id, fileName }): Queued => {
        return { id, fileName, state: 'waiting', progress: NOT_BEGUN, what: '' };
      });
      setState(({ entries }) => ({ entries: [...entries, ...fresh] }));
      wake();
    },
    /** Says of a file why it is not taken. */
    refuse: (fileName: string, what: string): void => say(fileName, 'refused', what),
    /** Says of an archive what became of its pieces. */
    tell: (fileName: string, what: string): void => say(fileName, 'told', what),
    /** Leaves a file out: it is not measured, and not kept. */
    cancel(id: string): void {
      const state = entryOf(id)?.state;
      if (state !== 'waiting' && state !== 'measuring') return;
      setAside(id);
      change(id, { state: 'cancelled' });
      const lane = atWork.indexOf(id);
      if (lane >= 0) engines[lane].cancel();
    },
    /** Tries a file again that failed or was left out. */
    again(id: string): void {
      const piece = aside.get(id);
      if (piece === undefined) return;
      aside.delete(id);
      change(id, { state: 'waiting', progress: NOT_BEGUN, what: '' });
      pieces.putIn(piece);
      wake();
    },
    /** Measures a file that asked for memory: thinned to so many triangles, or whole. */
    answer(id: string, thinTo: number | undefined): void {
      const piece = pieces.find(id);
      if (piece === undefined || entryOf(id)?.state !== 'asking') return;
      if (thinTo !== undefined)
        pieces.edit(id, { history: changeSettings(piece.history, 'scan', { thin: thinTo }) });
      change(id, { state: 'waiting', progress: NOT_BEGUN, what: '' });
      pieces.forgive(id, thinTo === undefined);
    },
    /** Tells photographs that lack a scale how theirs is had, and measures them. */
    tellScale(ids: readonly string[], scale: Asked<PhotoSettings>): void {
      for (const id of ids) {
        const piece = pieces.find(id);
        if (piece === undefined || !lacksScale(piece)) continue;
        pieces.edit(id, { history: changeSettings(piece.history, 'photo', scale) });
        if (entryOf(id) === undefined) this.add([piece]);
        else change(id, { state: 'waiting', progress: NOT_BEGUN, what: '' });
        pieces.forgive(id, false);
      }
    },
    /** Takes a line that is done with off the list; without an id, all of them. */
    dismiss(id?: string): void {
      const done = (entry: Queued): boolean =>
        (id === undefined || entry.id === id) && entry.state !== 'waiting' && entry.state !== 'measuring';
      for (const entry of getState().entries) if (done(entry)) aside.delete(entry.id);
      setState(({ entries }) => ({ entries: entries.filter((entry) => !done(entry)) }));
    },
    /** Measures pieces that nobody asked for as well, for their cards. */
    start(): void {
      looking = true;
      wake();
    },
    /** Leaves the machine to something more pressing; files of the queue go on. */
    stop(): void {
      looking = false;
      atWork.forEach((id, lane) => {
        if (id !== undefined && entryOf(id) === undefined) engines[lane].cancel();
      });
    },
  };
}

/** It is a person's photograph, no scale was found for it, and nobody has said how it is had. */
export function lacksScale({ demo, fault, history }: Piece): boolean {
  const isUntold = (history.present.photo?.method ?? 'auto') === 'auto';
  return !demo && isUntold && fault?.view === undefined && SCALE_LACKS.includes(fault?.code ?? '');
}

/** How far the whole queue is. */
export function queueCounts(entries: readonly Queued[]) {
  const count = (...states: QueueState[]): number =>
    entries.filter(({ state }) => states.includes(state)).length;
  return {
    all: entries.length - count('refused', 'cancelled', 'told'),
    measured: count('measured'),
    toDo: count('waiting', 'measuring'),
    amiss: count('failed', 'refused', 'asking'),
  };
}
