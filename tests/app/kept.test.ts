import { beforeAll, describe, expect, test } from 'vitest';
import {
  fromKeptMeasured,
  type KeptMeasured,
  settingsKey,
  toKeptMeasured,
  whyAnew,
} from '../../src/app/keep/measured.ts';
import { createBench } from '../../src/app/state/bench.ts';
import { faultFromCode } from '../../src/app/state/fault.ts';
import { packedRecord } from '../../src/app/state/packedRecord.ts';
import { createPieces, leftOf, type Piece } from '../../src/app/state/pieces.ts';
import { createQueue } from '../../src/app/state/queue.ts';
import { change, UNTOUCHED } from '../../src/app/state/settingsHistory.ts';
import { DEFAULT_SETTINGS } from '../../src/record/settings.ts';
import { toRecord } from '../../src/record/toRecord.ts';
import type { BenchJob, Drawing, Drawn, MeasuredPiece, Outcome } from '../../workers/messages.ts';
import { makeParts } from '../record/fixture.ts';

const relief = { image: new Blob(['a picture']), x: 0, y: 0, width: 1, height: 1 };
const seen: MeasuredPiece = {
  record: toRecord(makeParts()),
  reliefA: relief,
  reliefB: relief,
  drawn: { cuts: [] } as unknown as Drawn,
};
const flipped = change(UNTOUCHED, 'trace', { flipTip: true });

const settle = () => new Promise((resolve) => setTimeout(resolve));

function heldEngine() {
  const jobs: BenchJob[] = [];
  const answers: ((outcome: Outcome) => void)[] = [];
  const engine = {
    measure: (job: BenchJob) =>
      new Promise<Outcome>((resolve) => {
        jobs.push(job);
        answers.push(resolve);
      }),
    mesh: async () => new Blob(),
    prepare: async () => undefined,
    cancel: () => undefined,
  };
  return { engine, jobs, answers };
}

describe('what was measured is kept', () => {
  let kept: KeptMeasured;
  beforeAll(async () => {
    const packed = { ...seen, record: packedRecord(seen.record) };
    kept = (await toKeptMeasured('one', 'engine 1', '', packed)) as KeptMeasured;
  });
  const asking = { engine: 'engine 1', mark: '', settings: DEFAULT_SETTINGS };

  test('without what only the bench draws; it answers the same scan, settings and program, and nothing else', () => {
    expect(fromKeptMeasured(kept)).toEqual({ record: seen.record, reliefA: relief, reliefB: relief });
    expect(kept.sha256).toBe(seen.record.source.sha256);
    expect(whyAnew(kept, asking)).toBeNull();
    expect(whyAnew(kept, { ...asking, engine: 'engine 2' })).toBe('program');
    expect(whyAnew(kept, { ...asking, settings: flipped.present })).toBe('settings');
    expect(whyAnew(kept, { ...asking, mark: 'another file' })).toBe('scan');
  });

  test('settings are the same in whatever order they were said, and differ by any value', () => {
    const { measure, trace, scan } = DEFAULT_SETTINGS;
    const turned = Object.fromEntries(Object.entries(measure).toReversed()) as unknown as typeof measure;
    expect(settingsKey({ measure: turned, scan, trace })).toBe(settingsKey(DEFAULT_SETTINGS));
    const excluded = [{ from: 1, to: 2, reason: 'worn' }];
    expect(settingsKey({ measure: { ...measure, excluded }, scan, trace })).not.toBe(
      settingsKey(DEFAULT_SETTINGS),
    );
  });
});

describe('a drawer with kept numbers', () => {
  function drawer() {
    const pieces = createPieces([]);
    const [two, one] = pieces.add([new File(['two'], 'two.ply'), new File(['one'], 'one.ply')]).toReversed();
    const held = heldEngine();
    const queue = createQueue([held.engine], pieces);
    return { pieces, queue, one, two, ...held };
  }

  test('measures nothing whose numbers are on their way, and only what has none', async () => {
    const { pieces, queue, one, two, jobs } = drawer();
    pieces.expect([one.id, two.id]);
    queue.start();
    await settle();
    expect(jobs).toEqual([]);
    pieces.recall([
      { id: one.id, seen },
      { id: two.id, anew: 'program', picture: relief },
    ]);
    await settle();
    expect(pieces.find(one.id)?.seen?.record).toEqual(seen.record);
    expect(pieces.find(two.id)).toMatchObject({ anew: 'program', picture: relief });
    expect(jobs.map(({ source }) => source)).toEqual([two.id]);
  });

  test('numbers that no longer answer when they come are not taken; what was measured meanwhile stays', () => {
    const { pieces, one, two } = drawer();
    pieces.edit(one.id, { history: flipped });
    const fresh = { ...seen };
    pieces.update(two.id, { seen: fresh });
    pieces.recall([
      { id: one.id, seen },
      { id: two.id, seen },
    ]);
    expect(pieces.find(one.id)?.seen).toBeUndefined();
    expect(pieces.find(two.id)?.seen?.record).toEqual(fresh.record);
  });

  test('settings changed in another tab: the numbers are measured again', async () => {
    const { pieces, queue, one, two, jobs } = drawer();
    pieces.recall([
      { id: one.id, seen },
      { id: two.id, seen },
    ]);
    queue.start();
    await settle();
    expect(jobs).toEqual([]);
    const { title, catalogue, hand } = one;
    pieces.adopt(one.id, { title, catalogue, hand, history: flipped });
    await settle();
    expect(jobs.map(({ source, settings }) => [source, settings])).toEqual([[one.id, flipped.present]]);
    expect(pieces.find(one.id)?.anew).toBe('settings');
  });

  test('a scan that is not the one that was measured is measured again, and that stays said', async () => {
    const { pieces, queue, one, two, jobs, answers } = drawer();
    pieces.recall([
      { id: one.id, seen },
      { id: two.id, seen },
    ]);
    queue.start();
    pieces.doubt(one.id, 'scan');
    await settle();
    answers[0]({ ok: true, run: jobs[0].run, piece: { ...seen } });
    await settle();
    expect(jobs.map(({ source }) => source)).toEqual([one.id]);
    expect(pieces.find(one.id)?.seen).toBeDefined();
    expect(pieces.find(one.id)?.anew).toBe('scan');
  });
});

describe('a piece that an earlier version of the program measured, whose file is gone', () => {
  const relics = { anew: 'program', picture: relief, older: seen } as const;
  const gone = () => Promise.reject(new Error('gone'));

  test('shows those numbers in the drawer, and as long as they are the only ones', async () => {
    const pieces = createPieces([]);
    const [one, two] = pieces.add([new File(['one'], 'one.ply'), new File(['two'], 'two.ply')]);
    pieces.recall([one, two].map(({ id }) => ({ id, ...relics })));
    const found = (id: string) => pieces.find(id) as Piece;
    // While they wait to be measured anew nothing is shown for it.
    expect(leftOf(found(one.id))).toBeUndefined();
    const fault = faultFromCode('file-missing', 'one.ply could not be opened.');
    pieces.update(one.id, { fault });
    expect(leftOf(found(one.id))?.record).toEqual(seen.record);
    // Any other fault is this version's own word on the file.
    pieces.update(two.id, { fault: faultFromCode('no-piece', 'no stone') });
    expect(leftOf(found(two.id))).toBeUndefined();
    // They belong to the settings that they were measured with.
    expect(leftOf({ ...found(one.id), history: flipped })).toBeUndefined();
    pieces.update(one.id, { seen });
    expect(found(one.id).older).toBeUndefined();
    expect(leftOf(found(one.id))).toBeUndefined();
  });

  test('and on the bench, which says what is wrong; nothing of it is kept as this version’s', async () => {
    const measured: unknown[] = [];
    const failed: unknown[] = [];
    const bench = createBench(
      heldEngine().engine,
      (...facts) => measured.push(facts),
      undefined,
      undefined,
      ({ id }, { code }) => failed.push([id, code]),
    );
    const piece: Piece = {
      ...createPieces([]).add([new File(['one'], 'one.ply')])[0],
      ...relics,
      open: gone,
    };
    bench.open(piece);
    expect(bench.getState().measured).toBeNull();
    await settle();
    expect(bench.getState()).toMatchObject({
      phase: 'failed',
      fault: { code: 'file-missing' },
      measured: { record: seen.record },
    });
    expect(measured).toEqual([]);
    expect(failed).toEqual([[piece.id, 'file-missing']]);
    bench.open({ ...piece, id: 'another', history: flipped });
    await settle();
    expect(bench.getState()).toMatchObject({ phase: 'failed', measured: null });
  });
});

describe('the bench with kept numbers', () => {
  const piece: Piece = { ...createPieces([]).add([new File(['one'], 'one.ply')])[0], seen };

  test('shows them at once, and keeps what was chosen when the surface has come', async () => {
    const { engine, jobs, answers } = heldEngine();
    const bench = createBench(engine, () => undefined);
    bench.open(piece);
    expect(bench.getState()).toMatchObject({ phase: 'working', measured: { record: seen.record } });
    expect(bench.getState().measured?.drawn).toBeUndefined();
    bench.choose(0);
    bench.pointAt(12);
    await settle();
    answers[0]({ ok: true, run: jobs[0].run, piece: seen });
    await settle();
    expect(bench.getState()).toMatchObject({ phase: 'ready', hump: 0, station: 12 });
    expect(bench.getState().measured?.drawn).toBe(seen.drawn);
  });

  test('draws it from what was kept and measures nothing; the next change is got ready for, once', async () => {
    const { engine, jobs } = heldEngine();
    const prepared: string[] = [];
    const ready = { ...engine, prepare: async ({ source }: BenchJob) => void prepared.push(source) };
    const nothing = () => undefined;
    const drawing = { traced: { run: 3 }, drawn: seen.drawn } as unknown as Drawing;
    const bench = createBench(ready, nothing, nothing, async ({ id }) =>
      id === piece.id ? drawing : undefined,
    );
    bench.open(piece);
    await settle();
    expect(bench.getState()).toMatchObject({ phase: 'ready', traced: { run: 0 } });
    expect(bench.getState().measured?.drawn).toBe(seen.drawn);
    expect(jobs).toEqual([]);
    await bench.prepare();
    await bench.prepare();
    expect(prepared).toEqual([piece.id]);
    bench.undo();
    bench.change('trace', { flipTip: true });
    await settle();
    expect(jobs.map(({ shown, settings }) => [shown, settings.trace.flipTip])).toEqual([[0, true]]);
    // Other settings are another drawing.
    bench.open({ ...piece, id: 'another', history: flipped });
    await settle();
    expect(jobs.map(({ source }) => source)).toEqual([piece.id, 'another']);
  });

  test('does not show them for other settings', () => {
    const bench = createBench(heldEngine().engine, () => undefined);
    bench.open({ ...piece, history: flipped });
    expect(bench.getState().measured).toBeNull();
  });

  test('stopped while the surface is read: the numbers stay, with the settings they belong to', async () => {
    const { engine } = heldEngine();
    const changed: unknown[] = [];
    const bench = createBench(
      engine,
      () => undefined,
      (_, history) => changed.push(history),
    );
    bench.open(piece);
    await settle();
    bench.cancel();
    expect(bench.getState()).toMatchObject({ phase: 'ready', measured: { record: seen.record } });
    expect(bench.getState().history).toBe(piece.history);
    expect(changed).toEqual([]);
  });
});
