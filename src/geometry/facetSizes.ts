import type { TriangleMesh } from './types.ts';
import { twiceVectorArea } from './vectorArea.ts';

/** Sum over a facet's three edges of the products of their extents along x and y, in the mesh's unit squared. */
export interface FacetSize {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** How large facets are in plan, from place to place. */
export interface FacetSizes {
  at(x: number, y: number): FacetSize;
}

/** Cells across the longer side of the plan: sizes of facets change slowly. */
const CELLS = 40;
/** More triangles than this say no more about their sizes. */
const MOST_TRIANGLES = 300_000;

/** Facets whose areas vary by more than this share of their mean were chosen by how the surface bends. */
const MOST_SPREAD = 0.6;
const SAMPLES = 50_000;

/**
 * Whether a mesh's facets are alike in size, as scanners leave them. Simplified meshes have large facets where a surface is
 * flat and corners along its crests: what such facets cut off goes less by how they turn.
 */
export function isEven({ positions, triangles }: TriangleMesh): boolean {
  const stride = 3 * Math.max(1, Math.floor(triangles.length / 3 / SAMPLES));
  const normal = new Float64Array(3);
  let count = 0;
  let sum = 0;
  let squares = 0;
  for (let t = 0; t + 2 < triangles.length; t += stride) {
    twiceVectorArea(positions, triangles, t, normal);
    const squared = normal[0] * normal[0] + normal[1] * normal[1] + normal[2] * normal[2];
    count++;
    sum += Math.sqrt(squared);
    squares += squared;
  }
  return squares * count <= (1 + MOST_SPREAD ** 2) * sum * sum;
}

/**
 * Mean sizes of a mesh's facets by place in plan, each facet counting by its area there. A smooth height field of second
 * derivatives f, sampled at the corners of such facets, lies above them by −(xx·f_xx + 2 xy·f_xy + yy·f_yy)/24 on average,
 * exactly where it is quadratic.
 */
export function facetSizes(mesh: TriangleMesh): FacetSizes {
  const [minX, minY, maxX, maxY] = planBox(mesh.positions);
  const cell = Math.max(maxX - minX, maxY - minY) / CELLS || 1;
  const columns = Math.max(1, Math.ceil((maxX - minX) / cell));
  const rows = Math.max(1, Math.ceil((maxY - minY) / cell));
  // From the middle outward, so that a piece that is turned about lies in the same cells.
  const left = (minX + maxX - columns * cell) / 2;
  const bottom = (minY + maxY - rows * cell) / 2;
  const cells: Cells = { left, bottom, cell, columns, rows };
  const whole = columns * rows;
  const sums = new Float64Array(4 * (whole + 1));
  sumSizes(mesh, cells, sums);
  return {
    at(x, y) {
      const here = indexOf(cells, x, y);
      const k = 4 * (sums[4 * here] > 0 ? here : whole);
      const weight = sums[k] || 1;
      return { xx: sums[k + 1] / weight, xy: sums[k + 2] / weight, yy: sums[k + 3] / weight };
    },
  };
}

/** Least x, least y, greatest x, greatest y of 3 × points. */
function planBox(p: Float64Array): Float64Array {
  let minX = Infinity;
  let minY = Infinity;
  let maxX = -Infinity;
  let maxY = -Infinity;
  for (let i = 0; i < p.length; i += 3) {
    minX = Math.min(minX, p[i]);
    maxX = Math.max(maxX, p[i]);
    minY = Math.min(minY, p[i + 1]);
    maxY = Math.max(maxY, p[i + 1]);
  }
  return Float64Array.of(minX, minY, maxX, maxY);
}

/** Square cells over a plan, from their lower left corner. */
interface Cells {
  readonly left: number;
  readonly bottom: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
}

function indexOf({ left, bottom, cell, columns, rows }: Cells, x: number, y: number): number {
  const column = Math.min(columns - 1, Math.max(0, Math.floor((x - left) / cell)));
  const row = Math.min(rows - 1, Math.max(0, Math.floor((y - bottom) / cell)));
  return row * columns + column;
}

/** Adds weight, xx, xy and yy of each facet to those of its cell, and to those of the whole after the last cell. */
function sumSizes({ positions: p, triangles }: TriangleMesh, cells: Cells, sums: Float64Array): void {
  const whole = sums.length - 4;
  const stride = 3 * Math.max(1, Math.floor(triangles.length / 3 / MOST_TRIANGLES));
  for (let t = 0; t + 2 < triangles.length; t += stride) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const wx = vx - ux;
    const wy = vy - uy;
    const weight = Math.abs(ux * vy - uy * vx);
    const xx = weight * (ux * ux + vx * vx + wx * wx);
    const xy = weight * (ux * uy + vx * vy + wx * wy);
    const yy = weight * (uy * uy + vy * vy + wy * wy);
    addSizes(sums, 4 * indexOf(cells, p[a] + (ux + vx) / 3, p[a + 1] + (uy + vy) / 3), weight, xx, xy, yy);
    addSizes(sums, whole, weight, xx, xy, yy);
  }
}

function addSizes(sums: Float64Array, at: number, weight: number, xx: number, xy: number, yy: number): void {
  sums[at] += weight;
  sums[at + 1] += xx;
  sums[at + 2] += xy;
  sums[at + 3] += yy;
}
