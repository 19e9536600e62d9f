import { convexHull } from '../geometry/hull.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import { distanceInside } from '../geometry/rasterDistance.ts';
import { domeOver } from '../geometry/rasterDome.ts';
import type { MarginLine } from '../trace/types.ts';
import type { Points2, ThicknessMap } from './types.ts';

/** Where the outermost margins stand at each row of a map, mm; NaN where a row meets no margin. */
export interface RowEdges {
  readonly leftX: Float64Array;
  readonly rightX: Float64Array;
  readonly leftZ: Float64Array;
  readonly rightZ: Float64Array;
}

/** The plan of a piece as its faces are fitted on it: one place in natural coordinates for each cell of the map. */
export interface FaceFrame {
  readonly map: ThicknessMap;
  readonly length: number;
  readonly edges: RowEdges;
  /** Greatest distance between the outermost margins, mm. */
  readonly width: number;
  /** Covered cells inside the margin, in rising order. */
  readonly cells: Uint32Array;
  /** Every other one of them in every other row: enough to fit by. */
  readonly sample: Uint32Array;
  /** By row: arccos(1 − 2·station)/π, 0 at the base to 1 at the tip. It spreads the ends, where faces rise like roots. */
  readonly along: Float64Array;
  /** By cell: ½ + arcsin(t)/π, t from −1 at the left margin to 1 at the right: spreads the margins likewise. */
  readonly across: Float32Array;
  /** By cell: root of the dome over the plan, 0 at the margin to 1. */
  readonly dome: Float32Array;
  /** The same over the plan's convex hull: the dome that the plan had before it was notched. */
  readonly hullDome: Float32Array;
  /** By cell: distance to the margin in plan, mm; and the greatest of all. */
  readonly depth: Float32Array;
  readonly greatestDepth: number;
}

/** Cells of the search, mm: as fine as the least hump asks for; on long pieces no more rows than are worth their time. */
const SEARCH_CELL = 0.45;
const MOST_ROWS = 500;

/** The map in blocks of cells, each the mean of what it covers, of about the size that a search for humps needs. */
export function searchMap(map: ThicknessMap): ThicknessMap {
  const wanted = Math.max(SEARCH_CELL, (map.rows * map.cell) / MOST_ROWS);
  const factor = Math.max(1, Math.round(wanted / map.cell));
  if (factor === 1) return map;
  const columns = Math.ceil(map.columns / factor);
  const rows = Math.ceil(map.rows / factor);
  const shift = ((factor - 1) * map.cell) / 2;
  return {
    x0: map.x0 + shift,
    y0: map.y0 + shift,
    cell: map.cell * factor,
    columns,
    rows,
    faceA: blockMeans(map.faceA, map.columns, columns, rows, factor),
    faceB: blockMeans(map.faceB, map.columns, columns, rows, factor),
  };
}

function blockMeans(
  heights: Float32Array,
  fromColumns: number,
  columns: number,
  rows: number,
  factor: number,
): Float32Array {
  const sums = new Float64Array(columns * rows);
  const counts = new Uint16Array(columns * rows);
  for (let k = 0; k < heights.length; k++) {
    if (Number.isNaN(heights[k])) continue;
    const row = Math.floor(k / fromColumns);
    const block = Math.floor(row / factor) * columns + Math.floor((k - row * fromColumns) / factor);
    sums[block] += heights[k];
    counts[block]++;
  }
  // A block that is mostly outside has its centre outside.
  return Float32Array.from(sums, (sum, k) => (2 * counts[k] >= factor * factor ? sum / counts[k] : NaN));
}

export function createFaceFrame(margin: MarginLine, length: number, map: ThicknessMap): FaceFrame {
  const { columns, rows, cell } = map;
  const edges = rowEdges(margin, map);
  const covered = new Uint8Array(columns * rows);
  const across = new Float32Array(columns * rows).fill(NaN);
  const along = new Float64Array(rows);
  let width = 0;
  for (let row = 0; row < rows; row++) {
    const left = edges.leftX[row];
    const reach = edges.rightX[row] - left;
    const station = Math.min(1, Math.max(0, (map.y0 + row * cell) / length));
    along[row] = Math.acos(1 - 2 * station) / Math.PI;
    if (!(reach > 0)) continue;
    width = Math.max(width, reach);
    for (let column = 0; column < columns; column++) {
      const k = row * columns + column;
      if (Number.isNaN(map.faceA[k])) continue;
      covered[k] = 1;
      const t = (2 * (map.x0 + column * cell - left)) / reach - 1;
      across[k] = 0.5 + Math.asin(Math.min(1, Math.max(-1, t))) / Math.PI;
    }
  }
  const depth = distanceInside(covered, columns).map((cells) => cells * cell);
  const hull = maskInside([convexHull(planOf(margin))], map);
  return {
    map,
    length,
    edges,
    width,
    ...listCells(covered, columns),
    along,
    across,
    dome: rootDome(covered, columns),
    hullDome: rootDome(hull, columns),
    depth,
    greatestDepth: greatest(depth),
  };
}

/** Root of the dome over a mask, 0 at its edge to 1. */
function rootDome(mask: Uint8Array, columns: number): Float32Array {
  const dome = domeOver(mask, columns);
  const top = greatest(dome);
  return dome.map((u) => Math.sqrt(u / top));
}

function planOf({ points }: MarginLine): Points2 {
  return points.filter((_, i) => i % 3 !== 2);
}

function listCells(covered: Uint8Array, columns: number): { cells: Uint32Array; sample: Uint32Array } {
  const cells = new Uint32Array(covered.length);
  const sample = new Uint32Array(covered.length);
  let [count, sampled] = [0, 0];
  for (let k = 0; k < covered.length; k++) {
    if (covered[k] === 0) continue;
    cells[count++] = k;
    const row = Math.floor(k / columns);
    if (row % 2 === 0 && (k - row * columns) % 2 === 0) sample[sampled++] = k;
  }
  return { cells: cells.slice(0, count), sample: sample.slice(0, sampled) };
}

/** Height of one face over the margin surface, outward positive, mm; NaN outside. */
export function faceHeights({ map, edges, cells }: FaceFrame, face: 'A' | 'B'): Float32Array {
  const out = new Float32Array(map.columns * map.rows).fill(NaN);
  const z = face === 'A' ? map.faceA : map.faceB;
  const sign = face === 'A' ? 1 : -1;
  for (const k of cells) {
    const row = Math.floor(k / map.columns);
    const x = map.x0 + (k - row * map.columns) * map.cell;
    const share = (x - edges.leftX[row]) / (edges.rightX[row] - edges.leftX[row]);
    const surface = edges.leftZ[row] + share * (edges.rightZ[row] - edges.leftZ[row]);
    out[k] = sign * (z[k] - surface);
  }
  return out;
}

function rowEdges({ points }: MarginLine, { y0, cell, rows }: ThicknessMap): RowEdges {
  const leftX = new Float64Array(rows).fill(NaN);
  const rightX = new Float64Array(rows).fill(NaN);
  const leftZ = new Float64Array(rows).fill(NaN);
  const rightZ = new Float64Array(rows).fill(NaN);
  for (let i = 0; i < points.length; i += 3) {
    const j = i + 3 === points.length ? 0 : i + 3;
    const a = (points[i + 1] - y0) / cell;
    const b = (points[j + 1] - y0) / cell;
    const end = Math.min(rows, Math.ceil(Math.max(a, b)));
    for (let row = Math.max(0, Math.ceil(Math.min(a, b))); row < end; row++) {
      const f = (row - a) / (b - a);
      const x = points[i] + f * (points[j] - points[i]);
      const z = points[i + 2] + f * (points[j + 2] - points[i + 2]);
      // Comparisons with NaN are false: the negated form also takes the first crossing.
      if (!(x >= leftX[row])) {
        leftX[row] = x;
        leftZ[row] = z;
      }
      if (!(x <= rightX[row])) {
        rightX[row] = x;
        rightZ[row] = z;
      }
    }
  }
  return { leftX, rightX, leftZ, rightZ };
}

function greatest(values: Float32Array): number {
  let most = 0;
  for (const value of values) if (value > most) most = value;
  return most;
}
