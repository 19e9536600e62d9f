import type { Points2 } from './types.ts';

/** Square grid in the plane: (x0, y0) is the centre of cell (0, 0). */
export interface PlaneGrid {
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
}

/** rows × columns, row-major in y: 1 where a cell's centre lies inside the rings (even-odd), else 0. */
export function maskInside(rings: readonly Points2[], grid: PlaneGrid): Uint8Array {
  const crossings = emptyRows(grid);
  for (const ring of rings) for (let i = 0; i < ring.length; i += 2) addCrossings(ring, i, grid, crossings);
  return between(crossings, grid);
}

/** The edges of a ring by where they begin to be level with rows of a grid, so that a small grid looks at few of them. */
export interface RingBands {
  readonly ring: Points2;
  /** Least y, and the greatest height of an edge. */
  readonly low: number;
  readonly tallest: number;
  /** Of a band, in the unit of the ring. */
  readonly height: number;
  /** Band b owns the edges `edges[starts[b]] … edges[starts[b + 1] − 1]`: the places of their first points' x in the ring. */
  readonly starts: Uint32Array;
  readonly edges: Uint32Array;
}

/** O(edges). */
export function ringBands(ring: Points2, height: number): RingBands {
  const n = ring.length;
  let low = Infinity;
  let high = -Infinity;
  let tallest = 0;
  for (let i = 1, last = ring[n - 1]; i < n; i += 2) {
    const y = ring[i];
    if (y < low) low = y;
    if (y > high) high = y;
    if (Math.abs(y - last) > tallest) tallest = Math.abs(y - last);
    last = y;
  }
  const starts = new Uint32Array(Math.floor((high - low) / height) + 2);
  const bands = new Uint32Array(n / 2);
  for (let i = 0; i < n; i += 2) {
    const lower = Math.min(ring[i + 1], ring[i + 2 === n ? 1 : i + 3]);
    const band = Math.floor((lower - low) / height);
    bands[i >> 1] = band;
    starts[band + 1]++;
  }
  for (let b = 1; b < starts.length; b++) starts[b] += starts[b - 1];
  const edges = new Uint32Array(n / 2);
  const next = starts.slice();
  for (let i = 0; i < n; i += 2) edges[next[bands[i >> 1]]++] = i;
  return { ring, low, tallest, height, starts, edges };
}

/** As `maskInside` of the one ring; looks at the edges only that are level with the grid. */
export function maskOfBands(bands: RingBands, grid: PlaneGrid): Uint8Array {
  const { ring, low, tallest, height, starts, edges } = bands;
  const crossings = emptyRows(grid);
  const first = Math.floor((grid.y0 - tallest - low) / height);
  const last = Math.floor((grid.y0 + grid.cell * grid.rows - low) / height);
  const from = starts[Math.max(0, Math.min(starts.length - 1, first))];
  const to = starts[Math.max(0, Math.min(starts.length - 1, last + 1))];
  for (let k = from; k < to; k++) addCrossings(ring, edges[k], grid, crossings);
  return between(crossings, grid);
}

function emptyRows({ rows }: PlaneGrid): number[][] {
  return Array.from({ length: rows }, () => []);
}

/** Adds where the edge from the point whose x is at `i` crosses rows of a grid, in cells from its first. */
function addCrossings(
  ring: Points2,
  i: number,
  { x0, y0, cell, rows }: PlaneGrid,
  crossings: readonly number[][],
): void {
  const j = i + 2 === ring.length ? 0 : i + 2;
  const a = (ring[i + 1] - y0) / cell;
  const b = (ring[j + 1] - y0) / cell;
  if (a === b) return;
  // Half-open in y, so that a row through a corner counts it once.
  const end = Math.min(rows, Math.ceil(Math.max(a, b)));
  for (let r = Math.max(0, Math.ceil(Math.min(a, b))); r < end; r++) {
    crossings[r].push((ring[i] + ((ring[j] - ring[i]) * (r - a)) / (b - a) - x0) / cell);
  }
}

/** 1 between every other two crossings of a row. */
function between(crossings: readonly number[][], { columns, rows }: PlaneGrid): Uint8Array {
  const mask = new Uint8Array(rows * columns);
  crossings.forEach((row, r) => {
    // Most rows cross a ring twice, and sorting lays each number out anew.
    if (row.length > 2) row.sort((a, b) => a - b);
    else if (row[0] > row[1]) row.reverse();
    for (let k = 0; k + 1 < row.length; k += 2) {
      const from = Math.max(0, Math.ceil(row[k]));
      const to = Math.min(columns, Math.ceil(row[k + 1]));
      if (to > from) mask.fill(1, r * columns + from, r * columns + to);
    }
  });
  return mask;
}
