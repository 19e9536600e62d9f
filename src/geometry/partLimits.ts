/** In what parts a large mesh is simplified, so that memory is bounded. Apart from the library, which a page need not load to ask. */

/** Triangles. */
export interface PartLimits {
  /** Worked on at once. */
  readonly slab: number;
  /** What the slabs leave goes through once more as a whole where it is at most so many: seams are as thin as the rest then. */
  readonly whole: number;
}

export const LIMITS: PartLimits = { slab: 500_000, whole: 3_000_000 };

/** How many triangles the slabs leave: twice the target, which leaves the last round its choice of edges, or just the target. */
export function betweenRounds(target: number, { whole }: PartLimits): number {
  return 2 * target <= whole ? 2 * target : target;
}

/** The most triangles that are worked on at once where a large mesh is simplified to `target`. */
export function thinnedAtOnce(target: number, limits: PartLimits = LIMITS): number {
  const between = betweenRounds(target, limits);
  return between > target ? Math.max(limits.slab, between) : limits.slab;
}
