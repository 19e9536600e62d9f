import type { TriangleMesh } from './types.ts';

/** Highest and lowest z of a mesh over a square grid in x, y; same unit as the mesh. */
export interface HeightField {
  /** x, y of the centre of cell (0, 0). */
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
  /** rows × columns, row-major in y; NaN where no triangle covers the cell's centre. */
  readonly top: Float32Array;
  readonly bottom: Float32Array;
}

/**
 * Samples the upper and lower envelope of a mesh at cell centres, exactly on its triangles.
 * The grid covers the mesh's bounding box with half a cell to spare. O(triangles + covered cells).
 */
export function heightField(mesh: TriangleMesh, cell: number): HeightField {
  const { positions, triangles } = mesh;
  let minX = Infinity;
  let minY = Infinity;
  let maxX = -Infinity;
  let maxY = -Infinity;
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i];
    const y = positions[i + 1];
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  const columns = Math.max(1, Math.ceil((maxX - minX) / cell) + 1);
  const rows = Math.max(1, Math.ceil((maxY - minY) / cell) + 1);
  const x0 = (minX + maxX) / 2 - ((columns - 1) * cell) / 2;
  const y0 = (minY + maxY) / 2 - ((rows - 1) * cell) / 2;
  const top = new Float32Array(rows * columns).fill(NaN);
  const bottom = new Float32Array(rows * columns).fill(NaN);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t] * 3;
    const b = triangles[t + 1] * 3;
    const c = triangles[t + 2] * 3;
    // In units of cells, so that cell centres are whole numbers.
    const ax = (positions[a] - x0) / cell;
    const ay = (positions[a + 1] - y0) / cell;
    const bx = (positions[b] - x0) / cell;
    const by = (positions[b + 1] - y0) / cell;
    const cx = (positions[c] - x0) / cell;
    const cy = (positions[c + 1] - y0) / cell;
    const firstRow = Math.max(0, Math.ceil(Math.min(ay, by, cy)));
    const lastRow = Math.min(rows - 1, Math.floor(Math.max(ay, by, cy)));
    if (firstRow > lastRow) continue;
    const firstColumn = Math.max(0, Math.ceil(Math.min(ax, bx, cx)));
    const lastColumn = Math.min(columns - 1, Math.floor(Math.max(ax, bx, cx)));
    if (firstColumn > lastColumn) continue;
    const twice = (bx - ax) * (cy - ay) - (cx - ax) * (by - ay);
    if (twice === 0) continue;
    const az = positions[a + 2];
    const bz = positions[b + 2];
    const cz = positions[c + 2];
    for (let row = firstRow; row <= lastRow; row++) {
      for (let column = firstColumn; column <= lastColumn; column++) {
        const wa = ((bx - column) * (cy - row) - (cx - column) * (by - row)) / twice;
        if (wa < 0 || wa > 1) continue;
        const wb = ((cx - column) * (ay - row) - (ax - column) * (cy - row)) / twice;
        if (wb < 0 || wa + wb > 1 + 1e-12) continue;
        const z = wa * az + wb * bz + (1 - wa - wb) * cz;
        const k = row * columns + column;
        // Comparisons with NaN are false: the negated form also fills an empty cell.
        if (!(z <= top[k])) top[k] = z;
        if (!(z >= bottom[k])) bottom[k] = z;
      }
    }
  }
  return { x0, y0, cell, columns, rows, top, bottom };
}
