import type { BenchEvents, BenchJob, MeasureApi, Outcome } from './messages.ts';

/** One run at a time, which can be cancelled: what every measuring worker offers the page. */
export function createRuns(
  answer: (job: BenchJob, events: BenchEvents, signal: AbortSignal) => Promise<Outcome>,
): Pick<MeasureApi, 'measure' | 'cancel'> {
  let running:
    | { readonly run: number; readonly abort: AbortController; readonly done: Promise<void> }
    | undefined;
  return {
    async cancel(run) {
      if (running?.run !== run) return;
      running.abort.abort();
      await running.done;
    },
    measure(job, events) {
      const abort = new AbortController();
      const outcome = answer(job, events, abort.signal);
      running = { run: job.run, abort, done: outcome.then(() => undefined) };
      return outcome;
    },
  };
}
