import type { Points2, Points3 } from './types.ts';

/** Heights over a square grid; NaN where empty. `x0`, `y0` is the centre of cell (0, 0). */
export interface Grid {
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
}

/** Height of the cell nearest to x, y; NaN outside the data. */
export function heightAt(grid: Grid, heights: Float32Array, x: number, y: number): number {
  const column = Math.round((x - grid.x0) / grid.cell);
  const row = Math.round((y - grid.y0) / grid.cell);
  if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return NaN;
  return heights[row * grid.columns + column];
}

/** A line in plan laid on the heights, 3 × n; points over empty cells are left out. */
export function drape(grid: Grid, heights: Float32Array, line: Points2): Points3 {
  const out: number[] = [];
  for (let i = 0; i < line.length; i += 2) {
    const z = heightAt(grid, heights, line[i], line[i + 1]);
    if (!Number.isNaN(z)) out.push(line[i], line[i + 1], z);
  }
  return Float64Array.from(out);
}
