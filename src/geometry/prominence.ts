/** Peaks of a height grid and how far each stands out, by flooding from the top down. */

export interface Peak {
  /** Cell of the peak, row-major. */
  readonly cell: number;
  readonly height: number;
  /** Height of the key col: the highest level at which the peak's ground joins higher ground, or the floor. */
  readonly col: number;
  /** height − col. */
  readonly prominence: number;
}

/** Heights are told apart down to this, in the unit of the heights. */
const STEP = 1e-6;

/**
 * All peaks above `floor` whose topographic prominence is at least `least`, highest prominence first (ties: lower cell
 * first). Cells join across sides and corners. NaN cells and cells at or below the floor are sea: a peak that meets no
 * higher peak above the floor stands out by its whole height over the floor.
 *
 * One pass over the cells from high to low with union-find; O(n log n) for the sort. Heights must lie within ±1000.
 */
export function prominentPeaks(
  heights: Float32Array | Float64Array,
  columns: number,
  floor: number,
  least: number,
): Peak[] {
  const order = downhill(heights, floor);
  // 0: not yet above water; else 1 + parent cell. The root of a set is its highest cell.
  const parent = new Uint32Array(heights.length);
  const peaks: Peak[] = [];
  const roots: number[] = [];
  for (let i = 0; i < order.length; i++) {
    if (surfaceCell(heights, columns, parent, order[i], least, peaks)) roots.push(order[i]);
  }
  for (const root of roots) if (parent[root] === root + 1) keep(peaks, heights, root, floor, least);
  return peaks.sort((a, b) => b.prominence - a.prominence || a.cell - b.cell);
}

/**
 * Brings one cell above water and joins the grounds that it touches; those that end there are peaks. True where it touches
 * none and is a ground of its own.
 */
function surfaceCell(
  heights: Float32Array | Float64Array,
  columns: number,
  parent: Uint32Array,
  cell: number,
  least: number,
  peaks: Peak[],
): boolean {
  const rows = heights.length / columns;
  parent[cell] = cell + 1;
  const row = Math.floor(cell / columns);
  const column = cell - row * columns;
  let top = cell;
  for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) {
    for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
      const near = r * columns + c;
      if (near === cell || parent[near] === 0) continue;
      const root = find(parent, near);
      const other = find(parent, top);
      if (root === other) continue;
      const high = isHigher(heights, root, other) ? root : other;
      const low = high === root ? other : root;
      // A cell that has just come above water is no peak of its own where it touches ground.
      if (low !== cell) keep(peaks, heights, low, heights[cell], least);
      parent[low] = high + 1;
      top = high;
    }
  }
  return top === cell;
}

function keep(
  peaks: Peak[],
  heights: Float32Array | Float64Array,
  cell: number,
  col: number,
  least: number,
): void {
  const prominence = heights[cell] - col;
  if (prominence >= least && prominence > 0) peaks.push({ cell, height: heights[cell], col, prominence });
}

function isHigher(heights: ArrayLike<number>, a: number, b: number): boolean {
  const steps = Math.round(heights[a] / STEP) - Math.round(heights[b] / STEP);
  return steps > 0 || (steps === 0 && a < b);
}

function find(parent: Uint32Array, cell: number): number {
  let root = cell;
  while (parent[root] !== root + 1) root = parent[root] - 1;
  for (let at = cell; at !== root; ) {
    const next = parent[at] - 1;
    parent[at] = root + 1;
    at = next;
  }
  return root;
}

/** Cells above the floor from high to low; equal heights in the order of the cells. */
function downhill(heights: ArrayLike<number>, floor: number): Uint32Array {
  let count = 0;
  for (let i = 0; i < heights.length; i++) if (heights[i] > floor) count++;
  // Height and cell packed into one whole number below 2^53, so that the engine's own numeric sort does the work.
  const keys = new Float64Array(count);
  const span = heights.length;
  let k = 0;
  for (let i = 0; i < heights.length; i++) {
    if (heights[i] > floor) keys[k++] = -Math.round(heights[i] / STEP) * span + i;
  }
  keys.sort();
  return Uint32Array.from(keys, (key) => ((key % span) + span) % span);
}
