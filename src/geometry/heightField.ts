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

/** Centres this close to an edge (barycentric) count as covered, so that rounding opens no gap between neighbours. */
const ON_EDGE = 1e-10;

/**
 * Samples the upper and lower envelope of a mesh at cell centres, exactly on its triangles (to the rounding of 32-bit
 * heights). The grid covers the box of the mesh's points with half a cell or more to spare. Triangles that are vertical
 * in z cover nothing. O(vertices + triangles + covered cells).
 */
export function heightField(mesh: TriangleMesh, cell: number): HeightField {
  if (!(cell > 0)) throw new RangeError(`a height field needs cells of positive size, not ${cell}`);
  const { x0, y0, columns, rows } = gridOver(mesh.positions, cell);
  const top = new Float32Array(rows * columns).fill(NaN);
  const bottom = new Float32Array(rows * columns).fill(NaN);
  // Not spread from the grid: what every triangle asks for is compiled for one layout of the object.
  const field: HeightField = { x0, y0, cell, columns, rows, top, bottom };
  sampleMesh(mesh, field, nextCentres(mesh.positions, field));
  return field;
}

function sampleMesh({ positions, triangles }: TriangleMesh, field: HeightField, next: Uint32Array): void {
  for (let t = 0; t < triangles.length; t += 3) {
    const a = triangles[t];
    const b = triangles[t + 1];
    const c = triangles[t + 2];
    const pa = next[a];
    const pb = next[b];
    const pc = next[c];
    // Where all three corners wait for the same row or the same column, no centre lies between them: on a dense scan
    // that settles most triangles with three small reads.
    const differ = (pa ^ pb) | (pa ^ pc);
    if ((differ & 0xffff) === 0 || differ >>> 16 === 0) continue;
    sampleTriangle(positions, 3 * a, 3 * b, 3 * c, pa, pb, pc, field);
  }
}

/** Grid centred on the points' box in plan; a single cell where there is none. */
function gridOver(
  positions: Float64Array,
  cell: number,
): { x0: number; y0: number; columns: number; rows: number } {
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
  if (!(maxX >= minX && maxY >= minY)) return { x0: 0, y0: 0, columns: 1, rows: 1 };
  const columns = cellsOver(maxX - minX, cell);
  const rows = cellsOver(maxY - minY, cell);
  if (columns > 0xffff || rows > 0xffff) {
    throw new RangeError(`a height field of ${columns} × ${rows} cells is too fine`);
  }
  return {
    x0: (minX + maxX) / 2 - ((columns - 1) * cell) / 2,
    y0: (minY + maxY) / 2 - ((rows - 1) * cell) / 2,
    columns,
    rows,
  };
}

/** Boxes may measure a whole number of cells, as where cells are shares of a length: rounding must not decide between two grids. */
const WHOLE = 1e-6;

/** As many as leave the outermost centres outside of the box. */
function cellsOver(extent: number, cell: number): number {
  return Math.floor(extent / cell + WHOLE) + 2;
}

/** For each vertex the first row (high 16 bits) and column (low 16 bits) whose centre is not below it. */
function nextCentres(positions: Float64Array, grid: HeightField): Uint32Array {
  const { x0, y0, cell } = grid;
  const next = new Uint32Array(positions.length / 3);
  for (let v = 0, i = 0; v < next.length; v++, i += 3) {
    const column = Math.ceil((positions[i] - x0) / cell);
    const row = Math.ceil((positions[i + 1] - y0) / cell);
    next[v] = (row << 16) | column;
  }
  return next;
}

/**
 * Raises `top` and lowers `bottom` at the centres that one triangle covers. `a`, `b`, `c` index its corners' x;
 * `pa`, `pb`, `pc` are their next centres.
 */
function sampleTriangle(
  positions: Float64Array,
  a: number,
  b: number,
  c: number,
  pa: number,
  pb: number,
  pc: number,
  { x0, y0, cell, columns, top, bottom }: HeightField,
): void {
  const scale = 1 / cell;
  // In units of cells from corner c, so that cell centres are whole steps apart.
  const cx = (positions[c] - x0) * scale;
  const cy = (positions[c + 1] - y0) * scale;
  const ax = (positions[a] - x0) * scale - cx;
  const ay = (positions[a + 1] - y0) * scale - cy;
  const bx = (positions[b] - x0) * scale - cx;
  const by = (positions[b + 1] - y0) * scale - cy;
  const twice = ax * by - bx * ay;
  if (twice === 0) return;
  const inverse = 1 / twice;
  const cz = positions[c + 2];
  const az = positions[a + 2] - cz;
  const bz = positions[b + 2] - cz;
  // A centre at the very row or column of the last corner belongs to the neighbour there.
  const firstRow = Math.min(pa >>> 16, pb >>> 16, pc >>> 16);
  const endRow = Math.max(pa >>> 16, pb >>> 16, pc >>> 16);
  const firstColumn = Math.min(pa & 0xffff, pb & 0xffff, pc & 0xffff);
  const endColumn = Math.max(pa & 0xffff, pb & 0xffff, pc & 0xffff);
  for (let row = firstRow; row < endRow; row++) {
    const y = row - cy;
    for (let column = firstColumn; column < endColumn; column++) {
      const x = column - cx;
      const wa = (x * by - y * bx) * inverse;
      const wb = (y * ax - x * ay) * inverse;
      if (wa < -ON_EDGE || wb < -ON_EDGE || wa + wb > 1 + ON_EDGE) continue;
      const z = cz + wa * az + wb * bz;
      const k = row * columns + column;
      // Comparisons with NaN are false: the negated form also fills an empty cell.
      if (!(z <= top[k])) top[k] = z;
      if (!(z >= bottom[k])) bottom[k] = z;
    }
  }
}
