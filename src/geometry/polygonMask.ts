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
  const { x0, y0, cell, columns, rows } = grid;
  const crossings: number[][] = Array.from({ length: rows }, () => []);
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const j = i + 2 === n ? 0 : i + 2;
      const a = (ring[i + 1] - y0) / cell;
      const b = (ring[j + 1] - y0) / cell;
      if (a === b) continue;
      // Half-open in y, so that a row through a corner counts it once.
      const end = Math.min(rows, Math.ceil(Math.max(a, b)));
      for (let r = Math.max(0, Math.ceil(Math.min(a, b))); r < end; r++) {
        crossings[r].push((ring[i] + ((ring[j] - ring[i]) * (r - a)) / (b - a) - x0) / cell);
      }
    }
  }
  const mask = new Uint8Array(rows * columns);
  crossings.forEach((row, r) => {
    row.sort((a, b) => a - b);
    for (let k = 0; k + 1 < row.length; k += 2) {
      const from = Math.max(0, Math.ceil(row[k]));
      const to = Math.min(columns, Math.ceil(row[k + 1]));
      if (to > from) mask.fill(1, r * columns + from, r * columns + to);
    }
  });
  return mask;
}
