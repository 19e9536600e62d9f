import type { Points2 } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { errorOfMoves, everySo, thinnedPlan } from './movedPlan.ts';
import type { MeasureSettings } from './types.ts';

/** Waves of the margin's height round the piece: the first is a lean of its plane, the others its winding. */
const WAVES = 4;

/**
 * What it is worth that the margin of a photographed piece stands higher here and lower there, where the camera saw it
 * aslant: heights that vary round the piece in so many waves of equal power, a sine and a cosine each, which together make
 * the standard uncertainty that `sway` is for, everywhere. By measure id, in the measure's unit.
 */
export function swayError(whole: Model, settings: MeasureSettings): ReadonlyMap<string, number> {
  if (whole.sway === undefined) return new Map();
  const step = everySo(whole);
  const sway = whole.sway.filter((_, i) => (i >> 1) % step === 0);
  return errorOfMoves(thinnedPlan(whole, step), settings, swayMoves(sway));
}

/** Each of those waves: how it moves the points of the outer ring, x y pairs, mm. */
export function* swayMoves(sway: Points2): Iterable<Points2> {
  const n = sway.length / 2;
  for (let wave = 1; wave <= WAVES; wave++) {
    for (const of of [Math.sin, Math.cos]) {
      yield sway.map((v, i) => (v * of((2 * Math.PI * wave * (i >> 1)) / n)) / Math.sqrt(WAVES));
    }
  }
}
