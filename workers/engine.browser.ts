import { expose, transfer } from 'comlink';
import { FAMILIES } from '../src/measures/catalogue.ts';
import { meshFile } from '../src/record/meshFile.ts';
import type { Model } from '../src/trace/types.ts';
import { drawMeasured, drawTraced, pictureField, type Vertices } from './drawing.ts';
import { buffersOf } from './engine.ts';
import { toFailure } from './failure.ts';
import { live } from './life.ts';
import type { BenchEvents, BenchJob, EngineApi, MeasuredPiece, MeshJob, Outcome } from './messages.ts';
import { pack } from './packing.ts';
import { drawRelief } from './relief.ts';
import { createRuns } from './runs.ts';
import { breathe, teller } from './telling.ts';
import { Walk } from './walk.ts';

/** Shares of a whole run: reading, tracing, drawing what was traced; measuring takes the rest. */
const READ_TO = 0.25;
const TRACED_TO = 0.55;
const DRAWN_TO = 0.65;

let walk: { readonly source: string; readonly stages: Walk } | undefined;
/** What was drawn last. The mesh itself goes to the page; a copy of its vertices stays for the next measuring of the model. */
let drawn: { readonly run: number; readonly model: Model; readonly vertices: Vertices } | undefined;

const api: EngineApi = {
  live,
  families: () => FAMILIES.map(({ id, title, rows }) => ({ id, title, rows })),
  async mesh(job) {
    // Of the piece on the bench nothing is read or traced again.
    const stages = stagesFor(job);
    const model = stages.trace(await stages.read(job.settings, {}), job.settings, {});
    return new Blob([meshFile(job.kind, model, job.facts)]);
  },
  async prepare(job) {
    try {
      const stages = stagesFor(job);
      stages.trace(await stages.read(job.settings, {}), job.settings, {});
    } catch {
      // What is wrong with the file is told when it is measured.
    }
  },
  ...createRuns(answer),
};

async function answer(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<Outcome> {
  try {
    const piece = await runStages(job, events, signal);
    return transfer<Outcome>({ ok: true, run: job.run, piece }, buffersOf(piece.drawn));
  } catch (error) {
    return { ok: false, run: job.run, cancelled: signal.aborted, failure: toFailure(error) };
  }
}

async function runStages(job: BenchJob, events: BenchEvents, signal: AbortSignal): Promise<MeasuredPiece> {
  const { settings, run } = job;
  const stages = stagesFor(job);
  const hooks = (from: number, to: number) => ({ signal, progress: teller(run, events, from, to) });
  const scan = await stages.read(settings, hooks(0, READ_TO));
  await breathe(signal);
  const model = stages.trace(scan, settings, hooks(READ_TO, TRACED_TO));
  await breathe(signal);
  if (job.want === 'bench' && (drawn?.model !== model || drawn.run !== job.shown)) {
    events.progress(run, TRACED_TO, 'drawing');
    const traced = await drawTraced(run, model);
    const { positions, normals } = traced.mesh;
    drawn = { run, model, vertices: { positions: positions.slice(), normals: normals.slice() } };
    events.traced(transfer(traced, buffersOf(traced)));
    await breathe(signal);
  }
  const field = pictureField(model);
  const [reliefA, reliefB] = await Promise.all([drawRelief(field, 'A'), drawRelief(field, 'B')]);
  if (job.want === 'card') events.pictured(run, reliefA);
  await breathe(signal);
  const result = stages.measure(model, settings, hooks(DRAWN_TO, 1));
  await breathe(signal);
  const record = stages.record(scan, model, result, settings);
  const piece = { record, reliefA, reliefB };
  if (job.want === 'card') {
    await breathe(signal);
    const traced = await drawTraced(run, model);
    return { ...piece, packed: pack({ traced, drawn: drawMeasured(model, result, field, traced.mesh) }) };
  }
  return drawn === undefined
    ? piece
    : { ...piece, drawn: drawMeasured(model, result, field, drawn.vertices) };
}

function stagesFor({ source, file, fileName }: BenchJob | MeshJob): Walk {
  if (walk?.source !== source) walk = { source, stages: new Walk(file, fileName) };
  return walk.stages;
}

expose(api);
