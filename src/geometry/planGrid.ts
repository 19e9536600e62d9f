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
 * Grid of the triangles near a closed line only: those with a corner within about `margin` cells of it (a square
 * neighbourhood in plan), listed in the cells there. Memory follows the line's length and not the mesh's size.
 * O(vertices + triangles), two passes over the few that are near.
 */
export function planGridNear(mesh: TriangleMesh, line: Points3, cell: number, margin = 2): PlanGrid {
  const frame = gridFrame(line, cell, margin);
  const mask = maskNear(frame, line, margin);
  const near = trianglesOn(mesh, frame, mask);
  const { x0, y0, columns, rows } = frame;
  const boxes = new Int32Array(4 * near.length);
  for (let i = 0; i < near.length; i++) cellsOf(mesh, frame, near[i], boxes, 4 * i);
  const starts = startsOf(boxes, mask, columns);
  // Not spread from the frame: what is asked for hundreds of thousands of times is compiled for one layout of the object.
  return { x0, y0, cell, columns, rows, starts, items: deal(near, boxes, mask, columns, starts) };
}

/** Where the triangles of each marked cell begin, from the boxes of cells that each touches. */
function startsOf(boxes: Int32Array, mask: Uint8Array, columns: number): Uint32Array {
  const starts = new Uint32Array(mask.length + 1);
  for (let i = 0; i < boxes.length; i += 4) {
    for (let row = boxes[i + 1]; row <= boxes[i + 3]; row++) {
      const end = row * columns + boxes[i + 2];
      for (let c = row * columns + boxes[i]; c <= end; c++) starts[c + 1] += mask[c];
    }
  }
  for (let c = 0; c < mask.length; c++) starts[c + 1] += starts[c];
  return starts;
}

/** Lists the triangles in every marked cell of their boxes. */
function deal(
  near: Uint32Array,
  boxes: Int32Array,
  mask: Uint8Array,
  columns: number,
  starts: Uint32Array,
): Uint32Array {
  const items = new Uint32Array(starts[mask.length]);
  const next = starts.slice();
  for (let i = 0; i < near.length; i++) {
    for (let row = boxes[4 * i + 1]; row <= boxes[4 * i + 3]; row++) {
      const end = row * columns + boxes[4 * i + 2];
      for (let c = row * columns + boxes[4 * i]; c <= end; c++) if (mask[c] !== 0) items[next[c]++] = near[i];
    }
  }
  return items;
}

/** Numbers of the triangles with a corner over a marked cell. */
function trianglesOn(mesh: TriangleMesh, frame: GridFrame, mask: Uint8Array): Uint32Array {
  const near = new Uint8Array(mesh.positions.length / 3);
  markNear(mesh.positions, frame, mask, near);
  return trianglesWith(mesh.triangles, near);
}

/** 1 for each vertex over a marked cell. */
function markNear(positions: Float64Array, frame: GridFrame, mask: Uint8Array, near: Uint8Array): void {
  const { x0, y0, cell, columns, rows } = frame;
  const inverse = 1 / cell;
  for (let v = 0, i = 0; v < near.length; v++, i += 3) {
    const column = Math.floor((positions[i] - x0) * inverse);
    const row = Math.floor((positions[i + 1] - y0) * inverse);
    if (column >= 0 && row >= 0 && column < columns && row < rows) near[v] = mask[row * columns + column];
  }
}

/** Numbers of the triangles with a marked corner. */
function trianglesWith(triangles: Uint32Array, marked: Uint8Array): Uint32Array {
  let found = new Uint32Array(1024);
  let count = 0;
  for (let t = 0, i = 0; i < triangles.length; t++, i += 3) {
    if ((marked[triangles[i]] | marked[triangles[i + 1]] | marked[triangles[i + 2]]) === 0) continue;
    if (count === found.length) found = twiceAsLong(found);
    found[count++] = t;
  }
  return found.subarray(0, count);
}

function twiceAsLong(items: Uint32Array): Uint32Array<ArrayBuffer> {
  const grown = new Uint32Array(2 * items.length);
  grown.set(items);
  return grown;
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

/** How far (x, y) is from the border of the square of cells within `ring` cells of its own. */
export function clearance(grid: PlanGrid, x: number, y: number, ring: number): number {
  const column = (x - grid.x0) / grid.cell;
  const row = (y - grid.y0) / grid.cell;
  const inColumn = column - Math.floor(column);
  const inRow = row - Math.floor(row);
  return grid.cell * (ring + Math.min(inColumn, 1 - inColumn, inRow, 1 - inRow));
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

/** Writes [column0, row0, column1, row1] to `out` from `at` on: the cells that the triangle's plan box touches. */
function cellsOf(mesh: TriangleMesh, frame: GridFrame, triangle: number, out: Int32Array, at: number): void {
  const { positions, triangles } = mesh;
  const { x0, y0, cell, columns, rows } = frame;
  const a = 3 * triangles[3 * triangle];
  const b = 3 * triangles[3 * triangle + 1];
  const c = 3 * triangles[3 * triangle + 2];
  const minX = Math.min(positions[a], positions[b], positions[c]);
  const maxX = Math.max(positions[a], positions[b], positions[c]);
  const minY = Math.min(positions[a + 1], positions[b + 1], positions[c + 1]);
  const maxY = Math.max(positions[a + 1], positions[b + 1], positions[c + 1]);
  out[at] = Math.max(0, Math.floor((minX - x0) / cell));
  out[at + 1] = Math.max(0, Math.floor((minY - y0) / cell));
  out[at + 2] = Math.min(columns - 1, Math.floor((maxX - x0) / cell));
  out[at + 3] = Math.min(rows - 1, Math.floor((maxY - y0) / cell));
}
