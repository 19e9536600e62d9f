import type { Points2 } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { errorOfMoves, everySo, thinnedPlan } from './movedPlan.ts';
import type { MeasureSettings } from './types.ts';

/** Stretches that are moved one by one; what is left of many is moved together, as one stretch. */
const MOST_STRETCHES = 6;

/**
 * What the uncertainty of hand-drawn stretches of the outline is worth: each stretch is moved outward by the hand's
 * standard uncertainty, all along it alike, because a hand errs to one side for a while. By measure id, in the measure's unit.
 */
export function handError(whole: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  if (whole.drawn === undefined) return new Map();
  const step = everySo(whole);
  const model = thinnedPlan(whole, step);
  const drawn = whole.drawn.filter((_, i) => i % step === 0);
  const moves = stretchesOf(drawn).map((stretch) => outward(model.outline.outer, drawn, stretch));
  return errorOfMoves(model, settings, moves);
}

/** Runs of points with an uncertainty, as masks over the ring; longest first, the surplus in one. */
function stretchesOf(drawn: Float64Array): Uint8Array[] {
  const n = drawn.length;
  const first = Math.max(0, drawn.indexOf(0));
  const runs: number[][] = [];
  for (let k = 0, open = false; k < n; k++) {
    const i = (first + k) % n;
    if (drawn[i] > 0 && open) runs[runs.length - 1].push(i);
    else if (drawn[i] > 0) runs.push([i]);
    open = drawn[i] > 0;
  }
  runs.sort((a, b) => b.length - a.length);
  const alone = runs.slice(0, MOST_STRETCHES);
  const rest = runs.slice(MOST_STRETCHES).flat();
  return (rest.length > 0 ? [...alone, rest] : alone).map((run) => {
    const mask = new Uint8Array(n);
    for (const i of run) mask[i] = 1;
    return mask;
  });
}

/** The points of one stretch, outward by the uncertainty of each; the others stay. */
function outward(outer: Points2, drawn: Float64Array, stretch: Uint8Array): Points2 {
  const move = new Float64Array(outer.length);
  const n = drawn.length;
  for (let i = 0; i < n; i++) {
    if (stretch[i] === 0) continue;
    const a = (i + n - 1) % n;
    const b = (i + 1) % n;
    const dx = outer[2 * b] - outer[2 * a];
    const dy = outer[2 * b + 1] - outer[2 * a + 1];
    const size = Math.hypot(dx, dy) || 1;
    move[2 * i] = (drawn[i] * dy) / size;
    move[2 * i + 1] = (-drawn[i] * dx) / size;
  }
  return move;
}
