import { describe, expect, test } from 'vitest';
import { createBench, type Engine } from '../../src/app/state/bench.ts';
import { createPieces, type Piece } from '../../src/app/state/pieces.ts';
import { evenMap } from '../../src/intake/scaleMap.ts';
import type { PhotoSource } from '../../src/record/schema.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import type { BenchEvents, BenchJob, MeasuredPiece, Outcome, TracedPiece } from '../../workers/messages.ts';
import { makeParts } from '../record/fixture.ts';

/** An engine that answers when it is told to, in whatever order. */
function heldEngine() {
  const jobs: { job: BenchJob; events: BenchEvents; answer: (outcome: Outcome) => void }[] = [];
  let cancels = 0;
  const engine: Engine = {
    measure: (job, events) => new Promise((answer) => jobs.push({ job, events, answer })),
    mesh: async ({ kind }) => new Blob([kind]),
    prepare: async () => undefined,
    cancel: () => {
      cancels += 1;
    },
  };
  return { engine, jobs, cancels: () => cancels };
}

/** Lets everything that is due happen. */
const settle = () => new Promise((resolve) => setTimeout(resolve));

function twoPieces(): readonly Piece[] {
  return createPieces([]).add([new File(['one'], 'one.ply'), new File(['two'], 'two.ply')]);
}

function measured(settings = DEFAULT_SETTINGS): MeasuredPiece {
  const relief = { image: new Blob(), x: 0, y: 0, width: 1, height: 1 };
  return { record: toRecord({ ...makeParts(), settings }), reliefA: relief, reliefB: relief };
}

const tracedOf = (run: number): TracedPiece => ({
  run,
  mesh: {
    positions: new Float32Array(9),
    normals: new Float32Array(9),
    triangles: new Uint32Array(3),
    low: [0, 0, 0],
    high: [1, 1, 1],
    fullTriangles: 1,
  },
  margin: new Float32Array(9),
  length: 1,
});

describe('the bench', () => {
  test('shows a piece as soon as it is traced, its numbers when they come', async () => {
    const { engine, jobs } = heldEngine();
    const seen: string[] = [];
    const bench = createBench(engine, (piece) => seen.push(piece.id));
    const [one] = twoPieces();
    bench.open(one);
    await settle();
    const [{ job, events, answer }] = jobs;
    events.progress(job.run, 0.4, 'margin plane');
    expect(bench.getState()).toMatchObject({ phase: 'working', progress: { fraction: 0.4 } });
    events.traced(tracedOf(job.run));
    expect(bench.getState().traced?.run).toBe(job.run);
    expect(bench.getState().measured).toBeNull();
    answer({ ok: true, run: job.run, piece: measured() });
    await settle();
    expect(bench.getState().phase).toBe('ready');
    expect(seen).toEqual([one.id]);
  });

  test('drops what an older run says', async () => {
    const { engine, jobs } = heldEngine();
    const bench = createBench(engine, () => undefined);
    const [one, two] = twoPieces();
    bench.open(one);
    await settle();
    bench.open(two);
    await settle();
    const [old, young] = jobs;
    young.answer({ ok: true, run: young.job.run, piece: measured() });
    await settle();
    const { measured: kept } = bench.getState();
    old.events.traced(tracedOf(old.job.run));
    old.events.progress(old.job.run, 0.9, 'late');
    old.answer({ ok: true, run: old.job.run, piece: measured() });
    await settle();
    expect(bench.getState().piece).toBe(two);
    expect(bench.getState().measured).toBe(kept);
    expect(bench.getState().traced).toBeNull();
  });

  test('the same piece opened twice is measured once', async () => {
    const { engine, jobs } = heldEngine();
    const bench = createBench(engine, () => undefined);
    const [one] = twoPieces();
    bench.open(one);
    bench.open(one);
    await settle();
    expect(jobs.length).toBe(1);
  });

  test('a file at fault gives its own sentence, a fault of the program says so', async () => {
    const { engine, jobs } = heldEngine();
    const bench = createBench(engine, () => undefined);
    const [one] = twoPieces();
    bench.open(one);
    await settle();
    const sentence = 'The file ends in the middle of its vertices.';
    jobs[0].answer({
      ok: false,
      run: jobs[0].job.run,
      cancelled: false,
      failure: { name: 'IntakeError', code: 'truncated', message: sentence },
    });
    await settle();
    expect(bench.getState()).toMatchObject({ phase: 'failed', fault: { what: sentence } });
    expect(bench.getState().fault?.next).not.toContain('fault of the program');
    bench.again();
    await settle();
    jobs[1].answer({
      ok: false,
      run: jobs[1].job.run,
      cancelled: false,
      failure: { name: 'RangeError', code: 'fault', message: 'Invalid array length' },
    });
    await settle();
    expect(bench.getState().fault?.next).toContain('fault of the program');
  });

  test('a file that is gone says so', async () => {
    const { engine, jobs } = heldEngine();
    const bench = createBench(engine, () => undefined);
    const [one] = twoPieces();
    bench.open({ ...one, open: () => Promise.reject(new Error('gone')) });
    await settle();
    expect(jobs).toEqual([]);
    expect(bench.getState()).toMatchObject({ phase: 'failed', fault: { code: 'file-missing' } });
  });

  test('a change of settings is measured; cancelled, the settings are those of the numbers on show', async () => {
    const { engine, jobs, cancels } = heldEngine();
    const bench = createBench(engine, () => undefined);
    const [one] = twoPieces();
    bench.open(one);
    await settle();
    jobs[0].answer({ ok: true, run: jobs[0].job.run, piece: measured() });
    await settle();
    bench.change('trace', { axis: 'longest' });
    await settle();
    expect(jobs[1].job.settings.trace.axis).toBe('longest');
    expect(jobs[1].job.source).toBe(jobs[0].job.source);
    bench.cancel();
    expect(cancels()).toBe(1);
    expect(bench.getState().phase).toBe('ready');
    expect(bench.getState().history).toEqual({ past: [], present: DEFAULT_SETTINGS, future: [] });
  });

  test('points at no station beyond the ends', () => {
    const bench = createBench(heldEngine().engine, () => undefined);
    bench.pointAt(130);
    expect(bench.getState().station).toBe(100);
    bench.pointAt(-3);
    expect(bench.getState().station).toBe(0);
  });

  test('ends are placed on Face A, whichever photograph was spoken of', () => {
    const bench = createBench(heldEngine().engine, () => undefined);
    bench.takeInHand('B');
    bench.takeUp('paint-in');
    expect(bench.getState()).toMatchObject({ inHand: 'B', tool: 'paint-in' });
    bench.takeUp('tip');
    expect(bench.getState()).toMatchObject({ inHand: 'A', tool: 'tip' });
  });

  test('a correction of the outline that can not be is left out again, and nothing else', async () => {
    const { engine, jobs } = heldEngine();
    const changes: number[] = [];
    const bench = createBench(
      engine,
      () => undefined,
      (_, { present }) => changes.push(present.photo?.corrections?.length ?? 0),
    );
    bench.open(twoPieces()[0]);
    await settle();
    jobs[0].answer({ ok: true, run: jobs[0].job.run, piece: measured() });
    await settle();
    const stroke = { kind: 'in', points: [[1, 2]], radius: 8, hand: 1 } as const;
    bench.change('photo', { corrections: [stroke] });
    await settle();
    jobs[1].answer({ ok: true, run: jobs[1].job.run, piece: measured() });
    await settle();
    bench.change('photo', { corrections: [stroke, { ...stroke, radius: 900 }] });
    await settle();
    const message = 'Correction 2 of the outline parts the piece in two.';
    jobs[2].answer({
      ok: false,
      run: jobs[2].job.run,
      cancelled: false,
      failure: { name: 'TraceError', code: 'correction-parts', message },
    });
    await settle();
    expect(bench.getState()).toMatchObject({ phase: 'ready', refused: message, fault: null });
    expect(bench.getState().history.present.photo?.corrections).toEqual([stroke]);
    expect(bench.getState().history.past).toHaveLength(1);
    expect(changes).toEqual([1, 2, 1]);
    bench.undo();
    await settle();
    expect(bench.getState().refused).toBeNull();
    expect(jobs[3].job.settings.photo?.corrections).toBeUndefined();
  });

  test('ends placed in a photograph are told anew once its scale is found to be another, in the same step', async () => {
    const { engine, jobs } = heldEngine();
    const kept: (readonly number[] | undefined)[] = [];
    const bench = createBench(
      engine,
      () => undefined,
      (_, { present }) => kept.push(present.trace.tip),
    );
    /** Read at so many pixels in a millimetre. */
    const at = (pxPerMm: number): MeasuredPiece => {
      const piece = measured();
      const { toPlane, radial } = evenMap(pxPerMm, 4000, 3000);
      const scale = { toPlane: [...toPlane], radial, marginHeight: { value: 0, u: 0 } };
      const source = { ...piece.record.source, kind: 'photo', scale } as unknown as PhotoSource;
      return { ...piece, record: { ...piece.record, source } };
    };
    const answer = async (k: number, pxPerMm: number): Promise<void> => {
      jobs[k].answer({ ok: true, run: jobs[k].job.run, piece: at(pxPerMm) });
      await settle();
    };
    bench.open(twoPieces()[0]);
    await settle();
    await answer(0, 10);
    bench.change('trace', { axis: 'tip-base', tip: [40, -20, 0], base: [40, -120, 0] });
    await settle();
    await answer(1, 10);
    expect(jobs).toHaveLength(2);
    bench.change('photo', { method: 'typed', pxPerMm: 20 });
    await settle();
    await answer(2, 20);
    expect(jobs).toHaveLength(4);
    expect(jobs[3].job.settings.trace.tip).toEqual([20, -10, 0]);
    expect(jobs[3].job.settings.trace.base).toEqual([20, -60, 0]);
    await answer(3, 20);
    expect(jobs).toHaveLength(4);
    expect(bench.getState().phase).toBe('ready');
    expect(kept.at(-1)).toEqual([20, -10, 0]);
    // One step back is the scale of before with the places of before.
    expect(bench.getState().history.past).toHaveLength(2);
    bench.undo();
    await settle();
    await answer(4, 10);
    expect(jobs).toHaveLength(5);
    expect(bench.getState().history.present.trace.tip).toEqual([40, -20, 0]);
  });
});
