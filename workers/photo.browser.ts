import { expose, transfer } from 'comlink';
import { decodeInBrowser } from '../src/intake/photoBrowser.ts';
import type { Cv } from '../src/intake/photoOpencv.ts';
import { IntakeError } from '../src/intake/types.ts';
import { buffersOf } from './engine.ts';
import { isFileFault, type JobFailure, toFailure } from './failure.ts';
import { live } from './life.ts';
import type { BenchEvents, BenchJob, MeasureApi, MeasuredPiece, Outcome } from './messages.ts';
import { drawCandidates, drawCutOut, drawLines, drawPicture, drawThumbnail } from './photoDrawing.ts';
import { PhotoWalk } from './photoWalk.ts';
import { createRuns } from './runs.ts';
import { breathe, teller } from './telling.ts';

/** Shares of a whole run: reading, starting OpenCV, the scale, the outlines; measuring takes the rest. */
const READ_TO = 0.25;
const STARTED_TO = 0.35;
const SCALED_TO = 0.5;
const TRACED_TO = 0.9;

let walk: { readonly source: string; readonly stages: PhotoWalk } | undefined;
let opencv: Promise<{ readonly cv: Cv }> | undefined;

const api: MeasureApi = {
  live,
  ...createRuns(answer),
};

async function answer(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<Outcome> {
  try {
    const piece = await runStages(job, events, signal);
    return transfer<Outcome>({ ok: true, run: job.run, piece }, buffersOf(piece.photo));
  } catch (error) {
    return { ok: false, run: job.run, cancelled: signal.aborted, failure: await inWords(error) };
  }
}

async function runStages(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<MeasuredPiece> {
  const { settings, run, want } = job;
  const stages = stagesFor(job);
  const hooks = (from: number, to: number) => ({ signal, progress: teller(run, events, from, to) });
  const photo = await stages.read(hooks(0, READ_TO));
  await breathe(signal);
  // Awaited, because they go another way than the outcome does: the bench must have heard all of it before that.
  if (want === 'card') await events.pictured(run, await drawThumbnail(photo));
  else if (job.shown === undefined) await events.photographed({ run, picture: await drawPicture(photo) });
  events.progress(run, READ_TO, 'starting OpenCV');
  opencv ??= loadOpencv();
  const { cv } = await opencv;
  await breathe(signal);
  const scale = stages.scale(photo, settings, cv, hooks(STARTED_TO, SCALED_TO));
  if (want === 'bench') await events.photographed({ run, scale });
  await breathe(signal);
  const candidates = stages.candidates(photo, scale, cv, hooks(SCALED_TO, TRACED_TO));
  if (want === 'bench') await events.photographed({ run, candidates: drawCandidates(candidates) });
  await breathe(signal);
  const traced = stages.trace(photo, candidates, scale, settings);
  const lines = drawLines(scale, traced);
  if (want === 'bench') await events.photographed({ run, lines });
  const reliefA = await drawCutOut(photo, scale, traced);
  await breathe(signal);
  const result = stages.measure(traced, settings, hooks(TRACED_TO, 1));
  const record = stages.record(photo, scale, traced, result, settings);
  return { record, reliefA, ...(want === 'bench' ? { photo: lines } : {}) };
}

function stagesFor({ source, file, fileName }: BenchJob): PhotoWalk {
  if (walk?.source !== source) walk = { source, stages: new PhotoWalk(file, fileName, decodeInBrowser) };
  return walk.stages;
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
