import type { Removal } from './removal.ts';

export type FaceId = 0 | 1;

/** Height over plan in mm; each face in its own face-up sense, so that Face B stands at z = −height. */
export type HeightOver = (x: number, y: number) => number;

/** The unworked surface: its height, or Infinity where that is surely above `ceiling`. */
export type Blank = (x: number, y: number, ceiling: number) => number;

/** Label of the unworked surface; removal k shows as 2k + 2, its wall as 2k + 3. */
export const UNWORKED = 0;

/** Removals are looked up by squares of this size, mm. */
const BUCKET = 3;

/**
 * A stone as two heights over plan. Face A's z is height(0, …), Face B's is −height(1, …); the stone is where their sum,
 * the thickness, is positive, and the margin is where it is zero. A flake lowers one face to the scar it leaves.
 */
export class Stone {
  private readonly blanks: readonly [Blank, Blank];
  private readonly grain: HeightOver;
  private readonly removals: readonly [Removal[], Removal[]];
  private readonly buckets: readonly [Map<number, number[]>, Map<number, number[]>];
  private readonly parts = { wall: false };
  private shown = UNWORKED;

  /** `grain` is the roughness of the raw material, on every surface. */
  constructor(blanks: readonly [Blank, Blank], grain: HeightOver = () => 0) {
    this.blanks = blanks;
    this.grain = grain;
    this.removals = [[], []];
    this.buckets = [new Map(), new Map()];
  }

  /** The stone as it is now; later blows leave the copy alone. */
  copy(): Stone {
    const twin = new Stone(this.blanks, this.grain);
    for (const face of [0, 1] as const) for (const removal of this.removals[face]) twin.remove(face, removal);
    return twin;
  }

  remove(face: FaceId, removal: Removal): void {
    const index = this.removals[face].push(removal) - 1;
    const { x0, y0, x1, y1 } = removal.box;
    for (let i = Math.floor(x0 / BUCKET); i <= Math.floor(x1 / BUCKET); i++) {
      for (let j = Math.floor(y0 / BUCKET); j <= Math.floor(y1 / BUCKET); j++) {
        if (!removal.near((i + 0.5) * BUCKET, (j + 0.5) * BUCKET, 0.71 * BUCKET)) continue;
        const key = bucketKey(i, j);
        const list = this.buckets[face].get(key);
        if (list) list.push(index);
        else this.buckets[face].set(key, [index]);
      }
    }
  }

  removalCount(face: FaceId): number {
    return this.removals[face].length;
  }

  height(face: FaceId, x: number, y: number): number {
    return this.lowest(face, x, y) + this.grain(x, y);
  }

  /** Which surface the face shows at a plan point: UNWORKED, or a removal's floor or wall. */
  label(face: FaceId, x: number, y: number): number {
    this.lowest(face, x, y);
    return this.shown;
  }

  /** Thickness at a plan point: positive inside, negative outside, zero on the margin. */
  thickness(x: number, y: number): number {
    return this.height(0, x, y) + this.height(1, x, y);
  }

  private lowest(face: FaceId, x: number, y: number): number {
    let lowest = Infinity;
    this.shown = UNWORKED;
    const list = this.buckets[face].get(bucketKey(Math.floor(x / BUCKET), Math.floor(y / BUCKET)));
    // Later flakes lie lower as a rule: asking them first spares most of the others.
    for (let i = (list?.length ?? 0) - 1; i >= 0; i--) {
      const k = list![i];
      const h = this.removals[face][k].height(x, y, lowest, this.parts);
      if (h >= lowest) continue;
      lowest = h;
      this.shown = 2 * k + (this.parts.wall ? 3 : 2);
    }
    const rind = this.blanks[face](x, y, lowest);
    if (rind >= lowest) return lowest;
    this.shown = UNWORKED;
    return rind;
  }
}

function bucketKey(i: number, j: number): number {
  return (i + 1024) * 4096 + (j + 1024);
}
