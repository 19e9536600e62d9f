import type { Points3, TriangleMesh } from './types.ts';

/**
 * Which triangles lie over which square of the x–y plane, in compressed rows: the triangles over cell c are
 * `items[starts[c]] … items[starts[c + 1] − 1]`. A triangle is listed in every cell that its bounding box touches.
 */
export interface PlanGrid {
  /** Lower corner of cell (0, 0). */
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
  /** columns × rows + 1 long. */
  readonly starts: Uint32Array;
  /** Triangle numbers (not corner indices). */
  readonly items: Uint32Array;
}

/**
 * Grid of the triangles near a line only: cells within `margin` cells of it (as a square neighbourhood) are filled,
 * all others are left empty, so that memory follows the line's length and not the mesh's size.
 * O(triangles) with one pass over them to count and one over the few that count.
 */
export function planGridNear(mesh: TriangleMesh, line: Points3, cell: number, margin = 2): PlanGrid {
  const frame = gridFrame(line, cell, margin);
  const mask = maskNear(frame, line, margin);
  const { x0, y0, columns, rows } = frame;
  const { positions, triangles } = mesh;
  const starts = new Uint32Array(columns * rows + 1);
  const inverse = 1 / cell;
  let near = new Uint32Array(1024);
  let nearCount = 0;
  const box = new Int32Array(4);
  for (let t = 0; t < triangles.length; t += 3) {
    if (!cellsOf(positions, triangles, t, x0, y0, inverse, columns, rows, box)) continue;
    let touches = 0;
    for (let row = box[1]; row <= box[3]; row++) {
      for (let c = row * columns + box[0]; c <= row * columns + box[2]; c++) {
        if (mask[c] === 0) continue;
        starts[c + 1]++;
        touches = 1;
      }
    }
    if (touches === 0) continue;
    if (nearCount === near.length) {
      const grown = new Uint32Array(2 * near.length);
      grown.set(near);
      near = grown;
    }
    near[nearCount++] = t;
  }
  for (let c = 0; c < columns * rows; c++) starts[c + 1] += starts[c];
  const items = new Uint32Array(starts[columns * rows]);
  const next = starts.slice();
  for (let i = 0; i < nearCount; i++) {
    const t = near[i];
    cellsOf(positions, triangles, t, x0, y0, inverse, columns, rows, box);
    for (let row = box[1]; row <= box[3]; row++) {
      for (let c = row * columns + box[0]; c <= row * columns + box[2]; c++) {
        if (mask[c] !== 0) items[next[c]++] = t / 3;
      }
    }
  }
  return { x0, y0, cell, columns, rows, starts, items };
}

/** Calls `visit` for every triangle listed within `rings` cells of (x, y); a triangle may come more than once. */
export function visitNear(
  grid: PlanGrid,
  x: number,
  y: number,
  rings: number,
  visit: (triangle: number) => void,
): void {
  const { starts, items, columns, rows } = grid;
  const column = Math.floor((x - grid.x0) / grid.cell);
  const row = Math.floor((y - grid.y0) / grid.cell);
  const c0 = Math.max(0, column - rings);
  const c1 = Math.min(columns - 1, column + rings);
  if (c0 > c1) return;
  for (let r = Math.max(0, row - rings); r <= Math.min(rows - 1, row + rings); r++) {
    // Cells of one row are neighbours in memory: one run of items.
    const end = starts[r * columns + c1 + 1];
    for (let i = starts[r * columns + c0]; i < end; i++) visit(items[i]);
  }
}

interface GridFrame {
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
}

function gridFrame(line: Points3, cell: number, margin: number): GridFrame {
  let minX = Infinity;
  let minY = Infinity;
  let maxX = -Infinity;
  let maxY = -Infinity;
  for (let i = 0; i < line.length; i += 3) {
    minX = Math.min(minX, line[i]);
    maxX = Math.max(maxX, line[i]);
    minY = Math.min(minY, line[i + 1]);
    maxY = Math.max(maxY, line[i + 1]);
  }
  const x0 = minX - (margin + 1) * cell;
  const y0 = minY - (margin + 1) * cell;
  return {
    x0,
    y0,
    cell,
    columns: Math.ceil((maxX - x0) / cell) + margin + 1,
    rows: Math.ceil((maxY - y0) / cell) + margin + 1,
  };
}

/** 1 for every cell within `margin` cells of the closed line. */
function maskNear(frame: GridFrame, line: Points3, margin: number): Uint8Array {
  const { x0, y0, cell, columns, rows } = frame;
  const mask = new Uint8Array(columns * rows);
  const n = line.length / 3;
  for (let i = 0; i < n; i++) {
    const a = 3 * i;
    const b = 3 * ((i + 1) % n);
    const steps = Math.ceil(Math.hypot(line[b] - line[a], line[b + 1] - line[a + 1]) / cell) + 1;
    for (let k = 0; k < steps; k++) {
      const x = line[a] + ((line[b] - line[a]) * k) / steps;
      const y = line[a + 1] + ((line[b + 1] - line[a + 1]) * k) / steps;
      const column = Math.floor((x - x0) / cell);
      const row = Math.floor((y - y0) / cell);
      for (let r = Math.max(0, row - margin); r <= Math.min(rows - 1, row + margin); r++) {
        const from = Math.max(0, column - margin);
        const to = Math.min(columns - 1, column + margin);
        mask.fill(1, r * columns + from, r * columns + to + 1);
      }
    }
  }
  return mask;
}

/** Writes [column0, row0, column1, row1] of the cells that the triangle's plan box touches; false if none. */
function cellsOf(
  positions: Float64Array,
  triangles: Uint32Array,
  t: number,
  x0: number,
  y0: number,
  inverse: number,
  columns: number,
  rows: number,
  box: Int32Array,
): boolean {
  const a = 3 * triangles[t];
  const b = 3 * triangles[t + 1];
  const c = 3 * triangles[t + 2];
  const ax = positions[a];
  const ay = positions[a + 1];
  const bx = positions[b];
  const by = positions[b + 1];
  const cx = positions[c];
  const cy = positions[c + 1];
  const column0 = Math.floor((Math.min(ax, bx, cx) - x0) * inverse);
  const column1 = Math.floor((Math.max(ax, bx, cx) - x0) * inverse);
  const row0 = Math.floor((Math.min(ay, by, cy) - y0) * inverse);
  const row1 = Math.floor((Math.max(ay, by, cy) - y0) * inverse);
  if (column1 < 0 || row1 < 0 || column0 >= columns || row0 >= rows) return false;
  box[0] = Math.max(column0, 0);
  box[1] = Math.max(row0, 0);
  box[2] = column1 >= columns ? columns - 1 : column1;
  box[3] = row1 >= rows ? rows - 1 : row1;
  return true;
}
