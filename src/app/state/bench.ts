import { createStore } from 'zustand/vanilla';
import type {
  BenchEvents,
  BenchJob,
  Drawing,
  MeasuredPiece,
  MeshJob,
  Outcome,
  Photograph,
  PhotoNews,
} from '../../../workers/messages.ts';
import type { MeshKind } from '../../record/meshFile.ts';
import type { AllSettings } from '../../record/settings.ts';
import type { ViewName } from '../../trace/types.ts';
import {
  type BenchState,
  drawingOf,
  EMPTY,
  numbersOf,
  type Tool,
  thickestAt,
  unpackedOf,
} from './benchState.ts';
import { type Fault, faultFromCode, faultOf } from './fault.ts';
import { type HandGuess, NOTHING_READ } from './handCheck.ts';
import { filesOf } from './jobFiles.ts';
import { onStone, placedAnew } from './onStone.ts';
import { answers, leftOf, type Piece } from './pieces.ts';
import {
  type Asked,
  automatic,
  change,
  changeTogether,
  redo,
  type SettingsHistory,
  undo,
} from './settingsHistory.ts';

/** Who measures: a worker's client on the page, a stand-in under test. */
export interface Measurer {
  measure(job: BenchJob, events: BenchEvents): Promise<Outcome>;
  /** Ends the run that is going on, if any; its promise settles as cancelled. */
  cancel(): void;
}

/** Who measures, and has the surface at hand. */
export interface Engine extends Measurer {
  /** The surface as a file; rejects where it can't be had. */
  mesh(job: MeshJob): Promise<Blob>;
  /** Gets at hand what the next measuring of the job will need. */
  prepare(job: BenchJob): Promise<void>;
}

export type BenchStore = ReturnType<typeof createBench>;

const isSame = (a: object, b: object): boolean => JSON.stringify(a) === JSON.stringify(b);

/** Of what was kept: no run of this page has drawn it. */
const NO_RUN = 0;

/** One piece on the bench. Free of React and of workers: both reach it from outside. */
export function createBench(
  engine: Engine,
  onMeasured: (piece: Piece, measured: MeasuredPiece, drawing: Drawing | undefined) => void,
  onChanged: (piece: Piece, history: SettingsHistory) => void = () => undefined,
  /** What is kept of the drawing of a piece whose numbers are known; undefined where nothing is. */
  recallDrawing: (piece: Piece) => Promise<Drawing | undefined> = async () => undefined,
  /** A piece of which nothing was measured can't be; `seen` tells that its photograph could be read all the same. */
  onFailed: (piece: Piece, fault: Fault, seen: boolean) => void = () => undefined,
) {
  const store = createStore<BenchState>(() => EMPTY);
  const { getState, setState } = store;
  let newest = 0;
  /** The piece is drawn from what was kept: nothing of it is at hand for measuring. */
  let recalled = false;

  const jobOf = (piece: Piece, run: number, files: Awaited<ReturnType<typeof filesOf>>): BenchJob => ({
    run,
    source: piece.id,
    ...files,
    fileName: piece.fileName,
    settings: getState().history.present,
    whole: piece.whole === true,
    want: 'bench',
  });

  /** Draws a piece from what was kept of it, or measures it. */
  async function lay(piece: Piece): Promise<void> {
    const { seen, history } = piece;
    const mine = ++newest;
    setState({ phase: 'working', progress: { fraction: 0, step: 'opening' } });
    const drawing = seen && answers(seen, history) ? await recallDrawing(piece) : undefined;
    if (mine !== newest) return;
    if (seen === undefined || drawing === undefined) {
      await run(piece);
      return;
    }
    recalled = true;
    const measured = getState().measured ?? unpackedOf(seen);
    setState({
      phase: 'ready',
      ...('drawn' in drawing
        ? { traced: { ...drawing.traced, run: NO_RUN }, measured: { ...measured, drawn: drawing.drawn } }
        : { ...drawing, measured, station: thickestAt(seen.record) }),
    });
  }

  async function run(piece: Piece): Promise<void> {
    const mine = ++newest;
    recalled = false;
    setState({ phase: 'working', progress: { fraction: 0, step: 'opening' }, fault: null });
    const current = (): boolean => mine === newest;
    let files: Awaited<ReturnType<typeof filesOf>>;
    try {
      files = await filesOf(piece, getState().history.present);
    } catch {
      const code = piece.demo ? 'demo-missing' : 'file-missing';
      if (!current()) return;
      const fault = faultFromCode(code, `${piece.fileName} could not be opened.`);
      fail(fault);
      const left = leftOf({ ...piece, history: getState().history, fault });
      if (left !== undefined && getState().measured === null) setState(numbersOf(left, piece.history));
      return;
    }
    if (!current()) return;
    const { history, traced, photograph } = getState();
    if (photograph !== null) setState({ photograph: { ...photograph, lines: undefined } });
    // What was found with the settings before is no answer to these; it stays on show until there is one.
    const nothing = { scale: null, candidates: [] };
    const fresh = new Map<string, Partial<Photograph>>();
    const seenOf = (name: string): Photograph | null | undefined =>
      name === '' ? getState().photograph : getState().views[name];
    const put = (name: string, seen: Photograph): void =>
      setState(({ views }) => (name === '' ? { photograph: seen } : { views: { ...views, [name]: seen } }));
    const learn = ({ run: _, file: name = '', ...news }: PhotoNews): void => {
      fresh.set(name, { ...fresh.get(name), ...news });
      const before = seenOf(name);
      const picture = news.picture ?? before?.picture;
      if (picture !== undefined) put(name, { ...nothing, ...before, ...news, picture });
    };
    const outcome = await engine.measure(
      {
        ...jobOf(piece, mine, files),
        ...(traced === null && photograph === null ? {} : { shown: traced?.run ?? mine }),
        views: files.views.map((view) => ({ ...view, shown: getState().views[view.file] !== undefined })),
      },
      {
        progress: (_, fraction, step) => current() && setState({ progress: { fraction, step } }),
        traced: (drawn) => current() && setState({ traced: drawn }),
        pictured: () => undefined,
        photographed: (news) => current() && learn(news),
      },
    );
    if (!current()) return;
    for (const name of ['', ...files.views.map((view) => view.file)]) {
      const seen = seenOf(name);
      if (seen) put(name, { ...seen, ...nothing, ...fresh.get(name) });
    }
    if (outcome.ok) settle(piece, outcome.piece, history);
    else if (!outcome.cancelled) refuse(piece, history, faultOf(outcome.failure));
  }

  function settle(piece: Piece, measured: MeasuredPiece, settled: SettingsHistory): void {
    const { measured: before, settled: answered } = getState();
    // Numbers that were kept are joined by what is drawn of them: nothing that was chosen meanwhile is let go.
    const same = before !== null && answered === settled;
    setState({
      phase: 'ready',
      measured,
      settled,
      ...(same ? {} : { hump: null }),
      ...(before === null ? { station: thickestAt(measured.record) } : {}),
    });
    onMeasured(piece, measured, drawingOf(getState()));
    if (before !== null && isSame(answered.present.trace, settled.present.trace)) {
      const trace = placedAnew(before.record, measured.record, settled.present.trace);
      // The scale of a photograph is known once it is measured: only then can be told where on it the ends were placed.
      if (trace !== undefined) correct(piece, { ...settled, present: { ...settled.present, trace } });
    }
  }

  /** Another way to say what was asked for, which is no change of its own. */
  function correct(piece: Piece, history: SettingsHistory): void {
    setState({ history });
    onChanged(piece, history);
    void run(piece);
  }

  /** A correction of the outline that can not be is left out again by itself; nothing else that was said is. */
  function refuse(piece: Piece, history: SettingsHistory, fault: Fault): void {
    const { settled, measured } = getState();
    const last = measured !== null && history.past.at(-1) === settled.present;
    if (!last || !fault.code.startsWith('correction-')) {
      fail(fault);
      return;
    }
    setState({ phase: 'ready', history: settled, refused: fault.what });
    onChanged(piece, settled);
  }

  function fail(fault: Fault): void {
    setState({ phase: 'failed', fault, ...(fault.view === undefined ? {} : { inHand: fault.view }) });
    const { piece, measured, photograph } = getState();
    if (piece !== null && measured === null) onFailed(piece, fault, photograph !== null);
  }

  /** Takes new settings and measures again with them. */
  function take(history: SettingsHistory): void {
    const { piece } = getState();
    if (piece === null || history === getState().history) return;
    setState({ history, refused: null });
    onChanged(piece, history);
    void run(piece);
  }

  /** Gets at hand what a change of settings will need; opening a piece that is kept reads nothing of it. */
  async function prepare(): Promise<void> {
    const { piece, history } = getState();
    if (piece === null || !recalled) return;
    recalled = false;
    try {
      await engine.prepare(jobOf(piece, newest, await filesOf(piece, history.present)));
    } catch {
      // The change itself will say what is wrong.
    }
  }

  return {
    ...store,
    /** The surface of the piece on show, turned into its frame, as a file. */
    async mesh(kind: MeshKind, number: string): Promise<Blob> {
      const { piece, settled, measured } = getState();
      if (piece === null || measured === null) throw new Error('nothing lies on the bench');
      const { file, sha256 } = measured.record.source;
      return engine.mesh({
        kind,
        source: piece.id,
        file: await piece.open(),
        fileName: piece.fileName,
        settings: settled.present,
        facts: { number: number || undefined, file, sha256 },
      });
    },
    /**
     * Lays a piece on the bench. Numbers that answer its settings already are on show at once, and what is drawn of it as
     * soon as that is had: from what was kept, or by measuring it. The piece that lies there already stays as it is.
     */
    open(piece: Piece): void {
      const { piece: there, phase } = getState();
      if (there?.id === piece.id && (phase === 'ready' || phase === 'working')) return;
      const { history, seen } = piece;
      setState({ ...EMPTY, piece, history, settled: history, ...(seen && numbersOf(seen, history)) });
      void lay(piece);
    },
    prepare,
    /** Takes over settings that were changed in another tab. */
    adopt(piece: Piece): void {
      const { piece: there, history: here } = getState();
      const { history } = piece;
      if (there?.id !== piece.id || JSON.stringify(history) === JSON.stringify(here)) return;
      setState({ piece, history });
      void run(piece);
    },
    /** Takes over what was added to the piece that lies there, without measuring it again. */
    refresh(piece: Piece): void {
      if (getState().piece?.id === piece.id) setState({ piece });
    },
    /** Another photograph is spoken of; what was to be done in the one before is let go. */
    takeInHand: (inHand: ViewName | 'A'): void => setState({ inHand, tool: null }),
    /** Clears the bench and says why nothing lies on it. */
    refuse(fault: Fault): void {
      newest += 1;
      engine.cancel();
      setState({ ...EMPTY, phase: 'failed', fault });
    },
    /** Ends the run. A piece that was measured before keeps its numbers and goes back to the settings they belong to. */
    cancel(): void {
      newest += 1;
      engine.cancel();
      const { measured, settled, piece, history } = getState();
      setState(measured === null ? { phase: 'cancelled' } : { phase: 'ready', history: settled });
      if (measured !== null && piece !== null && history !== settled) onChanged(piece, settled);
    },
    again(): void {
      const { piece } = getState();
      if (piece !== null) void run(piece);
    },
    /** Measures the piece as it is, even where memory may not suffice. */
    tryWhole(): void {
      const { piece } = getState();
      if (piece === null) return;
      const whole = { ...piece, whole: true };
      setState({ piece: whole });
      void run(whole);
    },
    change<Part extends keyof AllSettings>(part: Part, asked: Asked<NonNullable<AllSettings[Part]>>): void {
      const { history, measured } = getState();
      const next = change(history, part, asked);
      if (next === history) return;
      take(
        measured === null
          ? next
          : changeTogether(history, onStone(measured.record, history.present, next.present)),
      );
    },
    automatic: (): void => take(automatic(getState().history)),
    undo: (): void => take(undo(getState().history)),
    redo: (): void => take(redo(getState().history)),
    pointAt: (station: number): void =>
      setState({ station: Math.min(100, Math.max(0, Math.round(station * 10) / 10)) }),
    takeUp(tool: Tool | null): void {
      // Ends are placed on Face A, whichever photograph was spoken of.
      setState(tool === 'base' || tool === 'tip' ? { tool, inHand: 'A' } : { tool });
      if (tool !== null) void prepare();
    },
    /** Draws what a measure comes from, and points all views at its place. */
    show(id: string, place: { readonly station?: number; readonly hump?: number }): void {
      const { station = getState().station, hump = getState().hump } = place;
      setState({ shown: id, station: Math.round(station * 10) / 10, hump });
    },
    hide: (): void => setState({ shown: null }),
    /** Hides what was computed until it is asked for, or ends that. */
    checkByHand: (on: boolean): void =>
      setState({ handCheck: on ? NOTHING_READ : null, shown: null, tool: null, hump: null }),
    readByHand(read: Partial<HandGuess>): void {
      const { handCheck } = getState();
      if (handCheck !== null) setState({ handCheck: { ...handCheck, ...read } });
    },
    choose(hump: number | null): void {
      const place = hump === null ? undefined : getState().measured?.record.humps[hump];
      setState({ hump, ...(place === undefined ? {} : { station: Math.round(place.station * 10) / 10 }) });
    },
  };
}
