/** Jobs of a millisecond or so that may wait, in the order in which they were asked for. */
const waiting = new Set<() => void>();
let asked = false;

/** So long the jobs of one go take at most, but for the last of them, ms. */
const GO = 8;
/** So long they wait at most for a moment in which nothing more pressing is to be done, ms. */
const PATIENCE = 500;

/** Does a job once the page has nothing more pressing to do. Gives what calls it off. */
export function whenIdle(job: () => void): () => void {
  waiting.add(job);
  ask();
  return () => waiting.delete(job);
}

function ask(): void {
  if (asked) return;
  asked = true;
  if (typeof requestIdleCallback === 'function') requestIdleCallback(go, { timeout: PATIENCE });
  else setTimeout(go);
}

function go(): void {
  asked = false;
  const until = performance.now() + GO;
  for (const job of waiting) {
    waiting.delete(job);
    job();
    if (performance.now() > until) break;
  }
  if (waiting.size > 0) ask();
}
