import { expose, transfer } from 'comlink';
import type { Hooks } from '../src/geometry/types.ts';
import { decodeInBrowser } from '../src/intake/photoBrowser.ts';
import type { Cv } from '../src/intake/photoOpencv.ts';
import { IntakeError } from '../src/intake/types.ts';
import { marginHeights } from '../src/record/marginHeights.ts';
import { addViews, inView, type SeenPhoto } from '../src/record/photoViews.ts';
import { settingsOfView } from '../src/record/viewSettings.ts';
import { DEFAULT_PHOTO_SETTINGS } from '../src/trace/settings.ts';
import type { PhotoSettings, ViewName } from '../src/trace/types.ts';
import { buffersOf } from './engine.ts';
import { isFileFault, type JobFailure, toFailure } from './failure.ts';
import { live } from './life.ts';
import type {
  BenchEvents,
  BenchJob,
  Drawing,
  MeasuredPiece,
  Outcome,
  PhotoApi,
  Photograph,
  ViewLines,
} from './messages.ts';
import { type Packed, pack } from './packing.ts';
import {
  drawCandidates,
  drawCutOut,
  drawFaceB,
  drawLines,
  drawPicture,
  drawThumbnail,
  drawView,
} from './photoDrawing.ts';
import { PhotoWalk } from './photoWalk.ts';
import { createRuns } from './runs.ts';
import { breathe, teller } from './telling.ts';

/** Shares of a whole run: reading, starting OpenCV, scales and outlines; measuring takes the rest. */
const READ_TO = 0.25;
const STARTED_TO = 0.35;
const TRACED_TO = 0.9;

/** Pixels of all photographs of a piece that are held for its next change. */
const MOST_HELD = 80_000_000;

/** Walks of the photographs of one piece, by their names among those of the piece; its own file goes by ''. */
let walks: { readonly source: string; readonly byFile: Map<string, PhotoWalk> } | undefined;
let opencv: Promise<{ readonly cv: Cv }> | undefined;

const api: PhotoApi = {
  live,
  async slenderness({ blob, fileName }) {
    try {
      opencv ??= loadOpencv();
      const { cv } = await opencv;
      const walk = new PhotoWalk(blob, fileName, decodeInBrowser);
      return walk.slenderness(await walk.read({}), cv);
    } catch {
      // What can't be read is told when it is measured.
      return null;
    }
  },
  async wire({ source, file, clicks, piece }) {
    const walk = walks?.source === source ? walks.byFile.get(file) : undefined;
    const line = walk?.tryWire(clicks, piece) ?? null;
    return line === null ? null : Float32Array.from(line);
  },
  async prepare(job) {
    try {
      opencv ??= loadOpencv();
      const { cv } = await opencv;
      for (const look of looksFor(job)) await found(look, job.settings.photo ?? DEFAULT_PHOTO_SETTINGS, cv);
    } catch {
      // What is wrong with a photograph is told when it is measured.
    }
  },
  ...createRuns(answer),
};

async function answer(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<Outcome> {
  try {
    const piece = await runStages(job, events, signal);
    return transfer<Outcome>(
      { ok: true, run: job.run, piece },
      buffersOf([piece.photo ?? {}, piece.views ?? {}]),
    );
  } catch (error) {
    return { ok: false, run: job.run, cancelled: signal.aborted, failure: await inWords(error) };
  }
}

async function runStages(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<MeasuredPiece> {
  const { settings, run, want } = job;
  const told = settings.photo ?? DEFAULT_PHOTO_SETTINGS;
  const looks = looksFor(job);
  const hooks = (from: number, to: number) => ({ signal, progress: teller(run, events, from, to) });
  for (const [k, { walk, name, view, shown }] of looks.entries()) {
    const share = READ_TO / looks.length;
    const photo = await inPlace(view, () => walk.read(hooks(k * share, (k + 1) * share)));
    await breathe(signal);
    // Awaited, because they go another way than the outcome does: the bench must have heard all of it before that.
    if (want === 'bench' && !shown)
      await events.photographed({ run, ...name, picture: await drawPicture(photo) });
    if (want === 'card' && view === undefined) await events.pictured(run, await drawThumbnail(photo));
  }
  events.progress(run, READ_TO, 'starting OpenCV');
  opencv ??= loadOpencv();
  const { cv } = await opencv;
  await breathe(signal);
  const seen: SeenPhoto[] = [];
  for (const [k, look] of looks.entries()) {
    const share = (TRACED_TO - STARTED_TO) / looks.length;
    const from = STARTED_TO + k * share;
    const parts = [hooks(from, from + 0.3 * share), hooks(from + 0.3 * share, from + share)] as const;
    seen.push(await inPlace(look.view, () => seePhoto(look, told, cv, job, events, parts)));
    await breathe(signal);
  }
  holdLess(looks);
  const [{ walk }] = looks;
  const [face, ...rest] = seen;
  const { photo, scale, candidates } = face;
  const views = rest.map((other, k) => ({ ...other, view: looks[k + 1].view as ViewName }));
  const first = walk.trace(photo, candidates, scale, settings);
  const { a, b } = await marginHeights(told, first, scale, views, settings.trace);
  const traced = a ? walk.trace(photo, candidates, scale, settings, a) : first;
  const ofFaceA = drawLines(scale, traced);
  if (want === 'bench') await events.photographed({ run, lines: ofFaceA });
  const reliefA = await drawCutOut(photo, scale, traced);
  await breathe(signal);
  const added = await addViews(traced, views, told, settings.trace, b);
  const result = walk.measure(added.traced, settings, hooks(TRACED_TO, 1));
  const record = walk.record(photo, scale, added, result, settings);
  const asked = told.views === undefined ? {} : { asked: settings };
  const behind = added.places.find(({ face }) => face !== undefined)?.face;
  const ofB = views.find(({ view }) => view === 'B');
  const faceB = behind && ofB ? { reliefB: await drawFaceB(ofB.photo, ofB.scale, behind) } : {};
  const lines = added.places.map((place): [string, ViewLines] => {
    const at = views.findIndex(({ view }) => view === place.view);
    return [looks[at + 1].name.file ?? '', drawView(views[at].scale, views[at].candidates, place)];
  });
  const piece = { record, ...asked, reliefA, ...faceB, photo: ofFaceA, views: Object.fromEntries(lines) };
  return want === 'card' ? { ...piece, packed: await packed(looks, told, cv) } : piece;
}

/** The photographs as the bench would draw them. */
async function packed(looks: readonly Look[], told: PhotoSettings, cv: Cv): Promise<Packed> {
  const drawn: Photograph[] = [];
  for (const look of looks) {
    const { photo, scale, candidates } = await found(look, told, cv);
    drawn.push({ picture: await drawPicture(photo), scale, candidates: drawCandidates(candidates) });
  }
  const [photograph, ...views] = drawn;
  const named = views.map((view, k) => [looks[k + 1].name.file ?? '', view]);
  return pack({ photograph, views: Object.fromEntries(named) } satisfies Drawing);
}

/** What is seen in one photograph before anybody corrects it. */
async function found({ walk, view }: Look, told: PhotoSettings, cv: Cv) {
  const photo = await walk.read({});
  const scale = walk.scale(photo, view === undefined ? told : settingsOfView(told, view), cv, {});
  return { photo, scale, candidates: walk.candidates(photo, scale, cv, {}) };
}

/** One photograph of the piece and how it is looked at. */
interface Look {
  readonly walk: PhotoWalk;
  /** Nothing for Face A. */
  readonly name: { readonly file?: string };
  readonly view: ViewName | undefined;
  /** The page shows its picture already. */
  readonly shown: boolean;
}

/** Face A first, then the further photographs. What was found in them before is kept for as long as the piece is the same. */
function looksFor({ source, file, fileName, shown, views = [] }: BenchJob): readonly Look[] {
  if (walks?.source !== source) walks = { source, byFile: new Map() };
  const { byFile } = walks;
  const walkOf = (name: string, blob: Blob, itsName: string): PhotoWalk => {
    const walk = byFile.get(name) ?? new PhotoWalk(blob, itsName, decodeInBrowser);
    byFile.set(name, walk);
    return walk;
  };
  // Pixels of a photograph that was taken away need not be held.
  const wanted = new Set(['', ...views.map((view) => view.file)]);
  for (const name of byFile.keys()) if (!wanted.has(name)) byFile.delete(name);
  return [
    { walk: walkOf('', file, fileName), name: {}, view: undefined, shown: shown !== undefined },
    ...views.map((other): Look => {
      const walk = walkOf(other.file, other.blob, other.fileName);
      return { walk, name: { file: other.file }, view: other.view, shown: other.shown === true };
    }),
  ];
}

/** Large pictures of further views are not held where all together are too many; Face A comes first. */
function holdLess(looks: readonly Look[]): void {
  let held = 0;
  for (const { walk } of looks) {
    held += walk.held;
    if (held <= MOST_HELD) continue;
    held -= walk.held;
    walk.letGo();
  }
}

function inPlace<T>(view: ViewName | undefined, see: () => Promise<T>): Promise<T> {
  return view === undefined ? see() : inView(view, see);
}

/** Scale and pieces of one photograph, told to the bench as they are found. */
async function seePhoto(
  { walk, view, name }: Look,
  told: PhotoSettings,
  cv: Cv,
  { run, want }: BenchJob,
  events: BenchEvents,
  [toScale, toPieces]: readonly [Hooks, Hooks],
): Promise<SeenPhoto> {
  const photo = await walk.read({});
  const settings = view === undefined ? told : settingsOfView(told, view);
  const scale = walk.scale(photo, settings, cv, toScale);
  if (want === 'bench') await events.photographed({ run, ...name, scale });
  toScale.signal?.throwIfAborted();
  const candidates = walk.candidates(photo, scale, cv, toPieces);
  if (want === 'bench') await events.photographed({ run, ...name, candidates: drawCandidates(candidates) });
  if (view === undefined) return { file: walk.facts, photo, scale, candidates };
  const corrected = walk.corrected(candidates, settings, photo);
  const wire = walk.wire(photo, corrected, told, view);
  return { file: walk.facts, photo, scale, candidates: corrected, ...(wire === undefined ? {} : { wire }) };
}

async function loadOpencv(): Promise<{ readonly cv: Cv }> {
  try {
    const { startOpencv } = await import('./opencv.browser.ts');
    return await startOpencv();
  } catch (cause) {
    opencv = undefined;
    throw new Error(
      'The part of the program that looks at photographs could not be loaded: reload the page.',
      {
        cause,
      },
    );
  }
}

/** Whatever was thrown as a failure with a sentence. What OpenCV throws are numbers. */
async function inWords(error: unknown): Promise<JobFailure> {
  if (error instanceof RangeError || (error instanceof Error && /memory|allocation/i.test(error.message))) {
    return toFailure(
      new IntakeError('too-large', 'The browser has not enough memory for a picture of this size.'),
    );
  }
  if (typeof error === 'number' && opencv !== undefined) {
    const { cv } = await opencv;
    const message = `The program stopped while it was looking at the photograph (OpenCV: ${said(cv, error)}).`;
    return { name: 'Error', code: 'opencv', message };
  }
  const failure = toFailure(error);
  if (isFileFault(failure) || failure.message.endsWith('.')) return failure;
  return {
    ...failure,
    message: `The program stopped while it was measuring the photograph (${failure.message}).`,
  };
}

function said(cv: Cv, pointer: number): string {
  try {
    return cv.exceptionFromPtr(pointer).msg.trim();
  } catch {
    return String(pointer);
  }
}

expose(api);
