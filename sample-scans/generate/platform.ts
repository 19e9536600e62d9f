import { signChange } from './roots.ts';
import type { Stone } from './stone.ts';

/** A place to strike: a plan point inside the margin. mm. */
export interface Platform {
  readonly x: number;
  readonly y: number;
  /** How far the old edge stands out beyond it, and how far whatever stone lies furthest out. */
  readonly proud: number;
  readonly furthest: number;
}

/** How far out of, and into, the stone a platform is looked for, mm. */
const SEARCH_OUT = 60;
const SEARCH_IN = 30;
const SEARCH_STEP = 0.5;

/**
 * The aimed-at place (x, y), or, where the margin lies further in or too far out, one bite inside the margin along the
 * direction (dx, dy) of the blow. Null where the stone is too far off, or stands out less than `proudest`.
 */
export function platformAt(
  stone: Stone,
  x: number,
  y: number,
  dx: number,
  dy: number,
  bite: number,
  proudest: number,
): Platform | null {
  const thick = (s: number): number => stone.thickness(x + s * dx, y + s * dy);
  let outermost = -SEARCH_OUT;
  while (thick(outermost) <= 0 && outermost < SEARCH_IN) outermost += 2 * SEARCH_STEP;
  if (outermost >= SEARCH_IN || -outermost < proudest) return null;
  let inside = 0;
  while (thick(inside) <= 0.5 && inside < SEARCH_IN) inside += SEARCH_STEP;
  if (inside >= SEARCH_IN) return null;
  let out = inside;
  while (thick(out) > 0 && out > -SEARCH_OUT) out -= SEARCH_STEP;
  const edge = out + SEARCH_STEP * signChange((t) => thick(out + SEARCH_STEP * t), thick(out));
  const s = Math.max(edge + 0.12, Math.min(0, edge + bite));
  return { x: x + s * dx, y: y + s * dy, proud: s - edge, furthest: s - outermost };
}
