/** Grids with a side shorter than this are solved outright, without a coarser one first. */
const COARSEST = 24;
/** Sweeps over the grid itself; each coarser one gets twice as many, for a quarter of the cells. */
const SWEEPS = 30;

/**
 * The height of a soap film blown up from a flat rim: the solution of −∇²u = 1 inside a mask with u = 0 at its edge, in
 * cells². On a disc of radius R it is (R² − ρ²)/4, over a long strip of half-width b it is (b² − x²)/2; over any other
 * plan, notched or pierced, it is the smooth dome that its edge alone decides.
 *
 * Red–black over-relaxation from the solution on a grid of half the resolution. On a plan 100 cells wide good to 4 % of its
 * greatest value, most of it a common factor: enough for a shape to regress on. O(cells).
 */
export function domeOver(mask: Uint8Array, columns: number, sweeps = SWEEPS): Float32Array {
  const rows = mask.length / columns;
  const u = new Float32Array(mask.length);
  const side = Math.min(columns, rows);
  if (side >= COARSEST) refine(mask, columns, rows, u, 2 * sweeps);
  // The best factor for a square of this side (Young 1954).
  const over = 2 / (1 + Math.sin(Math.PI / (side + 1)));
  for (let k = 0; k < 2 * sweeps; k++) relax(mask, columns, rows, u, k & 1, over);
  return u;
}

/**
 * The first of every other column or row: from the middle of an odd number of them outward, so that as many are left on
 * either side, again an odd number. A grid turned end for end then gives the same dome, turned.
 */
function firstOfEveryOther(count: number): number {
  return ((count - 1) >> 1) & 1;
}

/** Fills `u` from the solution on every other row and column, straight in between. */
function refine(mask: Uint8Array, columns: number, rows: number, u: Float32Array, sweeps: number): void {
  const c0 = firstOfEveryOther(columns);
  const r0 = firstOfEveryOther(rows);
  const columns2 = (columns - c0 + 1) >> 1;
  const rows2 = (rows - r0 + 1) >> 1;
  const mask2 = new Uint8Array(columns2 * rows2);
  for (let r = 0; r < rows2; r++) {
    for (let c = 0; c < columns2; c++) mask2[r * columns2 + c] = mask[(2 * r + r0) * columns + 2 * c + c0];
  }
  const coarse = domeOver(mask2, columns2, sweeps);
  for (let r = 0; r < rows; r++) {
    const low = Math.max(0, (r - r0) >> 1) * columns2;
    const high = Math.min(rows2 - 1, (r - r0 + 1) >> 1) * columns2;
    for (let c = 0; c < columns; c++) {
      if (!mask[r * columns + c]) continue;
      const left = Math.max(0, (c - c0) >> 1);
      const right = Math.min(columns2 - 1, (c - c0 + 1) >> 1);
      // A coarse cell has four times the area: so many times the height in fine cells².
      u[r * columns + c] =
        coarse[low + left] + coarse[low + right] + coarse[high + left] + coarse[high + right];
    }
  }
}

/** One half-sweep over the cells of one colour. */
function relax(
  mask: Uint8Array,
  columns: number,
  rows: number,
  u: Float32Array,
  colour: number,
  over: number,
): void {
  for (let r = 0; r < rows; r++) {
    const start = r * columns;
    for (let c = (r + colour) & 1; c < columns; c += 2) {
      const i = start + c;
      if (!mask[i]) continue;
      const left = c > 0 ? u[i - 1] : 0;
      const right = c + 1 < columns ? u[i + 1] : 0;
      const below = r > 0 ? u[i - columns] : 0;
      const above = r + 1 < rows ? u[i + columns] : 0;
      u[i] += over * ((left + right + below + above + 1) / 4 - u[i]);
    }
  }
}
