import { proxy, type Remote, releaseProxy, wrap } from 'comlink';
import type {
  BenchEvents,
  BenchJob,
  EngineApi,
  FamilyRows,
  MeshJob,
  Outcome,
} from '../../../workers/messages.ts';
import type { Engine } from '../state/bench.ts';

/** How long a worker may take to heed a cancel between stages before it is ended, ms. */
const PATIENCE = 250;

/** A large scan takes about a gigabyte while it is measured: a second one at a time only where there is room for it. */
export function queueLanes(): number {
  const { deviceMemory = 4 } = navigator as Navigator & { readonly deviceMemory?: number };
  return deviceMemory >= 8 && navigator.hardwareConcurrency >= 4 ? 2 : 1;
}

interface Running {
  readonly run: number;
  /** Where it runs; undefined while it waits for the run before it to stop. */
  remote: Remote<EngineApi> | undefined;
  readonly settle: (outcome: Outcome) => void;
}

/**
 * The engine in a worker of its own. One run at a time: a new one ends the one before. A worker that does not heed a
 * cancel, or that crashes, is ended and another takes its place.
 */
export class WorkerEngine implements Engine {
  #worker: Worker | undefined;
  #remote: Remote<EngineApi> | undefined;
  #running: Running | undefined;
  /** Settled once no cancelled run holds the worker. */
  #stopping: Promise<void> = Promise.resolve();

  async families(): Promise<readonly FamilyRows[]> {
    return this.#ensure().families();
  }

  async mesh(job: MeshJob): Promise<Blob> {
    return this.#ensure().mesh(job);
  }

  measure(job: BenchJob, events: BenchEvents): Promise<Outcome> {
    this.cancel();
    return new Promise<Outcome>((resolve) => {
      const running: Running = { run: job.run, remote: undefined, settle: resolve };
      const settle = (outcome: Outcome): void => {
        if (this.#running === running) this.#running = undefined;
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
  async #stop(remote: Remote<EngineApi>, run: number): Promise<void> {
    const heeded = await Promise.race([
      remote.cancel(run).then(() => true),
      new Promise<boolean>((resolve) => setTimeout(() => resolve(false), PATIENCE)),
    ]);
    if (!heeded) this.#end(remote);
  }

  #ensure(): Remote<EngineApi> {
    if (this.#remote !== undefined) return this.#remote;
    const worker = new Worker(new URL('../../../workers/engine.browser.ts', import.meta.url), {
      type: 'module',
      name: 'engine',
    });
    const remote = wrap<EngineApi>(worker);
    worker.addEventListener('error', (event) => {
      this.#end(remote);
      const running = this.#running;
      this.#running = undefined;
      running?.settle(broken(running.run, new Error(event.message)));
    });
    this.#worker = worker;
    this.#remote = remote;
    return remote;
  }

  #end(remote: Remote<EngineApi>): void {
    if (this.#remote !== remote) return;
    remote[releaseProxy]();
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#remote = undefined;
  }
}

function stopped(run: number): Outcome {
  return { ok: false, run, cancelled: true, failure: { name: 'AbortError', code: 'cancelled', message: '' } };
}

function broken(run: number, error: unknown): Outcome {
  const message = error instanceof Error ? error.message : String(error);
  return { ok: false, run, cancelled: false, failure: { name: 'Error', code: 'fault', message } };
}
