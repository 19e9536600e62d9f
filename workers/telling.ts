import type { Hooks } from '../src/geometry/types.ts';
import type { BenchEvents } from './messages.ts';

/** Progress is told at most this often, ms. */
const TELL_EVERY = 60;

/** Lets a cancel that came in the meantime be heard. */
export async function breathe(signal: AbortSignal): Promise<void> {
  await new Promise((resolve) => setTimeout(resolve));
  signal.throwIfAborted();
}

/** Tells a stage's 0…1 to the page as from…to of the whole run, not too often. */
export function teller(
  run: number,
  events: BenchEvents,
  from: number,
  to: number,
): NonNullable<Hooks['progress']> {
  let told = -Infinity;
  let last = '';
  return (fraction, step) => {
    const now = performance.now();
    if (step === last && now - told < TELL_EVERY) return;
    told = now;
    last = step;
    events.progress(run, from + (to - from) * fraction, step);
  };
}
