import { describe, expect, test } from 'vitest';
import type { Engine } from '../../src/app/state/bench.ts';
import { createPieces } from '../../src/app/state/pieces.ts';
import { createQueue } from '../../src/app/state/queue.ts';
import { sortFiles } from '../../src/app/state/sortFiles.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import type { BenchJob, MeasuredPiece, Outcome } from '../../workers/messages.ts';
import { makeParts } from '../record/fixture.ts';

const settle = () => new Promise((resolve) => setTimeout(resolve));

/** An engine that answers when it is told to; a cancelled run answers so at once, as the worker's does. */
function heldEngine() {
  const jobs: BenchJob[] = [];
  let answer: ((outcome: Outcome) => void) | undefined;
  const engine: Engine = {
    measure: (job) => {
      jobs.push(job);
      return new Promise((resolve) => {
        answer = resolve;
      });
    },
    mesh: async () => new Blob(),
    prepare: async () => undefined,
    cancel: () => finish('cancelled'),
  };
  function finish(how: 'done' | 'failed' | 'asking' | 'large' | 'cancelled'): void {
    const run = jobs.at(-1)?.run ?? 0;
    if (how === 'done') answer?.({ ok: true, run, piece: measured });
    else {
      const asking = { name: 'IntakeError', code: 'scale-missing', message: 'No scale was found.' };
      const short = { name: 'IntakeError', code: 'ply-short', message: 'The file ends too early.' };
      const large = { name: 'IntakeError', code: 'memory-short', message: 'It is large.', thinTo: 1e6 };
      const failure = how === 'asking' ? asking : how === 'large' ? large : short;
      answer?.({ ok: false, run, cancelled: how === 'cancelled', failure });
    }
  }
  return { engine, jobs, finish };
}

const relief = { image: new Blob(), x: 0, y: 0, width: 1, height: 1 };
const measured: MeasuredPiece = { record: toRecord(makeParts()), reliefA: relief, reliefB: relief };

function threeFiles(engines: readonly Engine[]) {
  const kept: string[] = [];
  const pieces = createPieces([], (piece, removed) => kept.push(`${removed ? '-' : '+'}${piece.title}`));
  const queue = createQueue(engines, pieces);
  const added = pieces.add(['a.ply', 'b.ply', 'c.ply'].map((name) => new File([name], name)));
  queue.add(added);
  const states = (): string =>
    queue
      .getState()
      .entries.map(({ fileName, state }) => `${fileName[0]} ${state}`)
      .join(', ');
  return { pieces, queue, states, kept, ids: added.map(({ id }) => id) };
}

describe('the queue', () => {
  test('measures one file after another, in the order in which they came', async () => {
    const held = heldEngine();
    const { states, pieces, ids } = threeFiles([held.engine]);
    await settle();
    expect(states()).toBe('a measuring, b waiting, c waiting');
    held.finish('done');
    await settle();
    expect(states()).toBe('a measured, b measuring, c waiting');
    expect(pieces.find(ids[0])?.seen).toEqual(measured);
    held.finish('done');
    await settle();
    held.finish('done');
    await settle();
    expect(states()).toBe('a measured, b measured, c measured');
    expect(held.jobs.map(({ fileName }) => fileName)).toEqual(['a.ply', 'b.ply', 'c.ply']);
  });

  test('two engines take two files at a time', async () => {
    const [one, other] = [heldEngine(), heldEngine()];
    const { states } = threeFiles([one.engine, other.engine]);
    await settle();
    expect(states()).toBe('a measuring, b measuring, c waiting');
    other.finish('done');
    await settle();
    expect(states()).toBe('a measuring, b measured, c measuring');
    expect(other.jobs.map(({ fileName }) => fileName)).toEqual(['b.ply', 'c.ply']);
  });

  test('a file that fails leaves the drawer with its sentence, and the others go on', async () => {
    const held = heldEngine();
    const { states, queue, pieces, kept, ids } = threeFiles([held.engine]);
    await settle();
    held.finish('failed');
    await settle();
    expect(states()).toBe('a failed, b measuring, c waiting');
    expect(queue.getState().entries[0].what).toBe('The file ends too early.');
    expect(pieces.find(ids[0])).toBeUndefined();
    expect(kept).toEqual(['+a', '+b', '+c', '-a']);
    queue.again(ids[0]);
    expect(states()).toBe('a waiting, b measuring, c waiting');
    expect(pieces.find(ids[0])?.title).toBe('a');
    queue.cancel(ids[0]);
    queue.dismiss(ids[0]);
    expect(states()).toBe('b measuring, c waiting');
  });

  test('a file that is cancelled, running or waiting, is not measured and not kept', async () => {
    const held = heldEngine();
    const { states, queue, pieces, kept, ids } = threeFiles([held.engine]);
    await settle();
    queue.cancel(ids[2]);
    queue.cancel(ids[0]);
    await settle();
    expect(states()).toBe('a cancelled, b measuring, c cancelled');
    expect(kept.slice(3)).toEqual(['-c', '-a']);
    held.finish('done');
    await settle();
    expect(pieces.getState().pieces.map(({ title }) => title)).toEqual(['b']);
    expect(held.jobs).toHaveLength(2);
  });

  test('a scan that memory may not suffice for stays in the drawer and asks; it is measured as it is answered', async () => {
    const held = heldEngine();
    const { states, queue, pieces, ids } = threeFiles([held.engine]);
    await settle();
    held.finish('large');
    await settle();
    held.finish('large');
    await settle();
    expect(states()).toBe('a asking, b asking, c measuring');
    expect(queue.getState().entries[0].fault?.thinTo).toBe(1e6);
    queue.answer(ids[0], 1e6);
    queue.answer(ids[1], undefined);
    held.finish('done');
    await settle();
    held.finish('done');
    await settle();
    held.finish('done');
    await settle();
    expect(states()).toBe('a measured, b measured, c measured');
    expect(held.jobs.slice(3).map(({ whole, settings }) => [whole, settings.scan.thin])).toEqual([
      [false, 1e6],
      [true, undefined],
    ]);
    expect(pieces.find(ids[0])?.fault).toBeUndefined();
  });

  test('what was measured on the bench in the meantime is not measured again', async () => {
    const held = heldEngine();
    const { states, pieces, ids } = threeFiles([held.engine]);
    await settle();
    pieces.update(ids[1], { seen: measured });
    expect(states()).toBe('a measuring, b measured, c waiting');
    held.finish('done');
    await settle();
    expect(states()).toBe('a measured, b measured, c measuring');
  });

  test('other pieces are measured for their cards only while nothing is more pressing', async () => {
    const held = heldEngine();
    const pieces = createPieces([]);
    const queue = createQueue([held.engine], pieces);
    pieces.add([new File(['x'], 'x.ply')]);
    await settle();
    expect(held.jobs).toHaveLength(0);
    queue.start();
    await settle();
    expect(held.jobs).toHaveLength(1);
    queue.stop();
    await settle();
    expect(pieces.getState().pieces[0].fault).toBeUndefined();
    queue.start();
    await settle();
    expect(held.jobs).toHaveLength(2);
    held.finish('failed');
    await settle();
    expect(pieces.getState().pieces[0].fault?.code).toBe('ply-short');
  });

  test('keeps a photograph whose scale is not found, until it is told on the bench', async () => {
    const held = heldEngine();
    const { states, pieces, kept, ids } = threeFiles([held.engine]);
    await settle();
    held.finish('asking');
    await settle();
    expect(states()).toBe('a asking, b measuring, c waiting');
    expect(kept).toEqual(['+a', '+b', '+c']);
    expect(pieces.find(ids[0])?.fault?.what).toBe('No scale was found.');
    pieces.update(ids[0], { seen: measured });
    expect(states()).toBe('a measured, b measuring, c waiting');
    expect(pieces.find(ids[0])?.fault).toBeUndefined();
  });

  test('measures photographs without a scale with the one that is told of them, also those off its list, and no others', async () => {
    const held = heldEngine();
    const { states, queue, pieces, ids } = threeFiles([held.engine]);
    for (const how of ['asking', 'done', 'asking'] as const) {
      await settle();
      held.finish(how);
    }
    await settle();
    expect(states()).toBe('a asking, b measured, c asking');
    queue.dismiss(ids[2]);
    queue.tellScale(ids, { method: 'bar', block: 10 });
    await settle();
    expect(states()).toBe('a measuring, b measured, c waiting');
    expect(held.jobs.at(-1)?.settings.photo).toMatchObject({ method: 'bar', block: 10 });
    held.finish('done');
    await settle();
    // In the picture of c no bar is to be found: it asks again, and is not lost.
    held.finish('asking');
    await settle();
    expect(states()).toBe('a measured, b measured, c asking');
    const told = ids.map((id) => pieces.find(id)?.history.present.photo?.block);
    expect(told).toEqual([10, undefined, 10]);
    queue.tellScale(ids, { method: 'typed', pxPerMm: 7 });
    expect(pieces.find(ids[2])?.history.present.photo?.method).toBe('bar');
  });
});

test('archives are told from what may be a piece', () => {
  const files = ['a.PLY', 'b.jpg', 'c.zip', 'd.TIFF', 'e'].map((name) => new File([], name));
  const sorted = sortFiles(files);
  const names = (list: readonly File[]) => list.map(({ name }) => name);
  expect(names(sorted.pieces)).toEqual(['a.PLY', 'b.jpg', 'd.TIFF', 'e']);
  expect(names(sorted.drawers)).toEqual(['c.zip']);
});
