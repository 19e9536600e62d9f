import type { Removal } from './removal.ts';

/** A bending break straight through the stone, as a cut into Face A: upright at Face A, curling out to a lip at Face B. */
export interface Snap {
  /** A point of the break on Face A's side, and the unit direction toward the lost end. */
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
  /** Height of Face A there, and of the stone below it, mm. */
  readonly top: number;
  readonly thickness: number;
  /** Plan width of the broken surface, mm. */
  readonly run: number;
  /** Curvature of the break in plan, 1/mm. */
  readonly bow: number;
}

export function snapRemoval(snap: Snap): Removal {
  const drop = 1.25 * snap.thickness + 3;
  const slope = (3 * drop) / snap.run;
  return {
    box: { x0: snap.x - 200, y0: snap.y - 200, x1: snap.x + 200, y1: snap.y + 200 },
    near: (x, y, margin) => (x - snap.x) * snap.dx + (y - snap.y) * snap.dy > -8 - margin,
    height(x, y, _ceiling, parts) {
      parts.wall = false;
      const v = (y - snap.y) * snap.dx - (x - snap.x) * snap.dy;
      const u = (x - snap.x) * snap.dx + (y - snap.y) * snap.dy - 0.5 * snap.bow * v * v;
      if (u <= 0) return snap.top - slope * u;
      const left = Math.max(0, 1 - u / snap.run);
      return snap.top - drop * (1 - left * left * left) - 1.5 * Math.max(0, u - snap.run);
    },
  };
}
