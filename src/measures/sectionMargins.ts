import type { MarginLine } from '../trace/types.ts';

/** The outermost points of a section, x z in mm: where its two faces meet. */
export interface Margins {
  readonly left: readonly [number, number];
  readonly right: readonly [number, number];
}

/** Outermost crossings of the margin with the plane at y; undefined where it does not reach. */
export function marginsAt({ points }: MarginLine, y: number): Margins | undefined {
  let left: [number, number] = [Infinity, 0];
  let right: [number, number] = [-Infinity, 0];
  const n = points.length;
  for (let i = 0; i < n; i += 3) {
    const j = i + 3 === n ? 0 : i + 3;
    const a = points[i + 1];
    const b = points[j + 1];
    if (a < y === b < y) continue;
    const f = (y - a) / (b - a);
    const x = points[i] + f * (points[j] - points[i]);
    const z = points[i + 2] + f * (points[j + 2] - points[i + 2]);
    if (x < left[0]) left = [x, z];
    if (x > right[0]) right = [x, z];
  }
  return left[0] < right[0] ? { left, right } : undefined;
}

/** The leftmost and rightmost points of loops of x z pairs. */
export function outermostOf(loops: readonly Float64Array[]): Margins {
  let left: [number, number] = [Infinity, 0];
  let right: [number, number] = [-Infinity, 0];
  for (const loop of loops) {
    for (let i = 0; i < loop.length; i += 2) {
      if (loop[i] < left[0]) left = [loop[i], loop[i + 1]];
      if (loop[i] > right[0]) right = [loop[i], loop[i + 1]];
    }
  }
  return { left, right };
}
