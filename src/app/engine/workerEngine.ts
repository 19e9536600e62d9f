import { proxy, type Remote, releaseProxy, wrap } from 'comlink';
import { isFileFault } from '../../../workers/failure.ts';
import type { BenchEvents, BenchJob, MeasureApi, Outcome } from '../../../workers/messages.ts';
import type { Measurer } from '../state/bench.ts';

/** How long a worker may take to heed a cancel between stages before it is ended, ms. */
const PATIENCE = 250;

interface Running<Api> {
  readonly run: number;
  /** Where it runs; undefined while it waits for the run before it to stop. */
  remote: Remote<Api> | undefined;
  readonly settle: (outcome: Outcome) => void;
}

/**
 * An engine in a worker of its own. One run at a time: a new one ends the one before. A worker that does not heed a
 * cancel, that crashes or that fails by its own fault is ended, and another takes its place.
 */
export class WorkerEngine<Api extends MeasureApi> implements Measurer {
  readonly #start: () => Worker;
  readonly #patience: number;
  #worker: Worker | undefined;
  #remote: Remote<Api> | undefined;
  #running: Running<Api> | undefined;
  /** Settled once no cancelled run holds the worker. */
  #stopping: Promise<void> = Promise.resolve();

  /** `patience`: longer where a worker that is ended loses what is costly to make again, ms. */
  constructor(start: () => Worker, patience = PATIENCE) {
    this.#start = start;
    this.#patience = patience;
  }

  /** For what a worker offers besides measuring. */
  remote(): Remote<Api> {
    return this.#ensure();
  }

  measure(job: BenchJob, events: BenchEvents): Promise<Outcome> {
    this.cancel();
    return new Promise<Outcome>((resolve) => {
      const running: Running<Api> = { run: job.run, remote: undefined, settle: resolve };
      const settle = (outcome: Outcome): void => {
        if (this.#running === running) this.#running = undefined;
        if (!outcome.ok && !outcome.cancelled && !isFileFault(outcome.failure) && running.remote)
          this.#end(running.remote);
        resolve(outcome);
      };
      this.#running = running;
      void this.#stopping.then(() => {
        if (this.#running !== running) return;
        running.remote = this.#ensure();
        running.remote.measure(job, proxy(events)).then(settle, (error) => settle(broken(job.run, error)));
      });
    });
  }

  cancel(): void {
    const running = this.#running;
    if (running === undefined) return;
    this.#running = undefined;
    running.settle(stopped(running.run));
    const { remote } = running;
    if (remote !== undefined) this.#stopping = this.#stop(remote, running.run);
  }

  /** Asks a worker to stop; one deep in a stage hears nothing, and is ended when its time is up. */
  async #stop(remote: Remote<Api>, run: number): Promise<void> {
    const heeded = await Promise.race([
      remote.cancel(run).then(() => true),
      new Promise<boolean>((resolve) => setTimeout(() => resolve(false), this.#patience)),
    ]);
    if (!heeded) this.#end(remote);
  }

  #ensure(): Remote<Api> {
    if (this.#remote !== undefined) return this.#remote;
    const worker = this.#start();
    const remote = wrap<Api>(worker);
    worker.addEventListener('error', (event) => {
      this.#end(remote);
      const running = this.#running;
      this.#running = undefined;
      running?.settle(broken(running.run, new Error(event.message)));
    });
    this.#worker = worker;
    this.#remote = remote;
    this.#watch(remote);
    return remote;
  }

  /** A worker may die without a word, of memory for one: its lock tells. Pages that are not safe have no locks. */
  #watch(remote: Remote<Api>): void {
    if (navigator.locks === undefined) return;
    const lock = `engine-${crypto.randomUUID()}`;
    void remote.live(lock).then(() =>
      navigator.locks.request(lock, () => {
        if (this.#remote !== remote) return;
        this.#end(remote);
        const running = this.#running;
        this.#running = undefined;
        running?.settle(died(running.run));
      }),
    );
  }

  #end(remote: Remote<Api>): void {
    if (this.#remote !== remote) return;
    remote[releaseProxy]();
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#remote = undefined;
  }
}

export function stopped(run: number): Outcome {
  return { ok: false, run, cancelled: true, failure: { name: 'AbortError', code: 'cancelled', message: '' } };
}

function died(run: number): Outcome {
  const message =
    'The part of the program that measures has stopped: the browser may have run out of memory.';
  return { ok: false, run, cancelled: false, failure: { name: 'Error', code: 'worker-died', message } };
}

export function broken(run: number, error: unknown): Outcome {
  const message = error instanceof Error ? error.message : String(error);
  return { ok: false, run, cancelled: false, failure: { name: 'Error', code: 'fault', message } };
}
