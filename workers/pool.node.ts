/// <reference path="./comlink-node.d.ts" />
import { Worker } from 'node:worker_threads';
import * as Comlink from 'comlink';
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs';
import type { NodeEngine } from './engine.node.ts';
import { toFailure } from './failure.ts';
import type { FileJob, FileOutcome } from './fileJob.ts';

export interface PoolHooks {
  readonly progress?: (index: number, fraction: number, step: string) => void;
  /** Called once for each job as it ends; no thread is more than one job ahead of what it settled. */
  readonly settled?: (index: number, outcome: FileOutcome) => Promise<void>;
}

/**
 * Runs jobs over `size` worker threads, each taking the next job when it is free. Resolves when every job has ended.
 * A thread that dies (memory, a fault in native code) costs its own job alone: a fresh one takes the rest.
 * `engine` is the built workers/engine.node.ts.
 */
export async function runPool(
  engine: URL,
  jobs: readonly FileJob[],
  size: number,
  hooks: PoolHooks = {},
): Promise<void> {
  let next = 0;
  async function lane(): Promise<void> {
    let thread: Thread | undefined;
    // The thread works on while its last outcome is saved: waiting for that, every thread stood still for a while after each job.
    let settling = Promise.resolve();
    try {
      while (next < jobs.length) {
        const index = next++;
        thread ??= startThread(engine);
        const outcome = await thread.run(jobs[index], (fraction, step) =>
          hooks.progress?.(index, fraction, step),
        );
        if (thread.dead) thread = undefined;
        await settling;
        settling = hooks.settled?.(index, outcome) ?? Promise.resolve();
        // Heard above or below; unheard meanwhile, it would end the process.
        settling.catch(() => {});
      }
      await settling;
    } finally {
      await thread?.end();
    }
  }
  await Promise.all(Array.from({ length: Math.min(size, jobs.length) }, lane));
}

interface Thread {
  readonly dead: boolean;
  run(job: FileJob, progress: (fraction: number, step: string) => void): Promise<FileOutcome>;
  end(): Promise<unknown>;
}

function startThread(engine: URL): Thread {
  const worker = new Worker(engine);
  const remote = Comlink.wrap<NodeEngine>(nodeEndpoint(worker));
  let death: FileOutcome | undefined;
  /** Ends the job that is running. A race against a promise of the thread's death would keep every outcome until then. */
  let abandon: ((outcome: FileOutcome) => void) | undefined;
  const die = (reason: string): void => {
    const failure = { name: 'Error', code: 'worker-died', message: `The worker stopped: ${reason}.` };
    death ??= { ok: false, failure };
    abandon?.(death);
  };
  worker.once('error', (error) => die(error instanceof Error ? error.message : String(error)));
  worker.once('exit', (code) => die(`exit code ${code}`));
  return {
    get dead() {
      return death !== undefined;
    },
    run: (job, progress) =>
      new Promise<FileOutcome>((resolve) => {
        if (death !== undefined) return resolve(death);
        abandon = resolve;
        remote
          .runFileJob(job, Comlink.proxy(progress))
          .catch((error: unknown) => ({ ok: false as const, failure: toFailure(error) }))
          .then(resolve);
      }),
    end: () => worker.terminate(),
  };
}
