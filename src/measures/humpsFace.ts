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
  /** Every other one of them in every other row, counted from the middle of the map: enough to fit by. */
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

/**
 * The map in blocks of cells, each the mean of what it covers, of about the size that a search for humps needs. An odd
 * number of blocks either way, laid from the middle of the map outward, so that a piece that is turned round or over is
 * searched in the same blocks.
 */
export function searchMap(map: ThicknessMap): ThicknessMap {
  const wanted = Math.max(SEARCH_CELL, (map.rows * map.cell) / MOST_ROWS);
  const factor = Math.max(1, Math.round(wanted / map.cell));
  const across = blocksOver(map.columns, factor);
  const along = blocksOver(map.rows, factor);
  return {
    x0: map.x0 + across.first * map.cell,
    y0: map.y0 + along.first * map.cell,
    cell: map.cell * factor,
    columns: across.count,
    rows: along.count,
    faceA: blockMeans(map.faceA, across, along, factor),
    faceB: blockMeans(map.faceB, across, along, factor),
  };
}

/** Blocks of `factor` cells over a line of cells. */
interface Blocks {
  readonly count: number;
  /** Place of the first block's middle, counted in cells from the middle of the first cell. */
  readonly first: number;
  /** The blocks that the lower and the upper half of each cell lie in: a border may halve a cell. */
  readonly lower: Uint16Array;
  readonly upper: Uint16Array;
}

function blocksOver(cells: number, factor: number): Blocks {
  const count = 2 * Math.ceil((cells / factor - 1) / 2) + 1;
  const start = (cells - count * factor) / 2;
  const blockAt = (edge: number): number => Math.floor((edge - start) / factor);
  return {
    count,
    first: start + (factor - 1) / 2,
    lower: Uint16Array.from({ length: cells }, (_, i) => blockAt(i)),
    upper: Uint16Array.from({ length: cells }, (_, i) => blockAt(i + 0.5)),
  };
}

function blockMeans(heights: Float32Array, across: Blocks, along: Blocks, factor: number): Float32Array {
  const sums = new Float64Array(across.count * along.count);
  /** Quarters of cells. */
  const counts = new Uint16Array(sums.length);
  const columns = across.lower.length;
  for (let k = 0; k < heights.length; k++) {
    const z = heights[k];
    if (Number.isNaN(z)) continue;
    const row = Math.floor(k / columns);
    const column = k - row * columns;
    for (const r of [along.lower[row], along.upper[row]]) {
      for (const c of [across.lower[column], across.upper[column]]) {
        sums[r * across.count + c] += z;
        counts[r * across.count + c]++;
      }
    }
  }
  // A block that is mostly outside has its centre outside.
  return Float32Array.from(sums, (sum, k) => (counts[k] >= 2 * factor * factor ? sum / counts[k] : NaN));
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
    spreadRow(map, row, left, reach, covered, across);
  }
  const depth = distanceInside(covered, columns).map((cells) => cells * cell);
  const hull = maskInside([convexHull(planOf(margin))], map);
  return {
    map,
    length,
    edges,
    width,
    ...listCells(covered, columns, rows),
    along,
    across,
    dome: rootDome(covered, columns),
    hullDome: rootDome(hull, columns),
    depth,
    greatestDepth: greatest(depth),
  };
}

/** Marks the covered cells of a row, and where each lies between the margins, from `left` to `reach` beyond it. */
function spreadRow(
  { faceA, columns, x0, cell }: ThicknessMap,
  row: number,
  left: number,
  reach: number,
  covered: Uint8Array,
  across: Float32Array,
): void {
  for (let column = 0; column < columns; column++) {
    const k = row * columns + column;
    if (Number.isNaN(faceA[k])) continue;
    covered[k] = 1;
    const t = (2 * (x0 + column * cell - left)) / reach - 1;
    across[k] = 0.5 + Math.asin(Math.min(1, Math.max(-1, t))) / Math.PI;
  }
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

/** Whether the i-th of `count` lies an odd number from the middle one. */
function isOdd(i: number, count: number): boolean {
  return ((i - (count >> 1)) & 1) !== 0;
}

/** None in the middle row and column: these often lie on the border of bins, where rounding would deal them out. */
function listCells(
  covered: Uint8Array,
  columns: number,
  rows: number,
): { cells: Uint32Array; sample: Uint32Array } {
  const cells = new Uint32Array(covered.length);
  const sample = new Uint32Array(covered.length);
  let count = 0;
  let sampled = 0;
  for (let k = 0; k < covered.length; k++) {
    if (covered[k] === 0) continue;
    cells[count++] = k;
    const row = Math.floor(k / columns);
    if (isOdd(row, rows) && isOdd(k - row * columns, columns)) sample[sampled++] = k;
  }
  return { cells: cells.slice(0, count), sample: sample.slice(0, sampled) };
}

/** Places nearer to the border of a bin than this, in bins, lie on it. */
const ON_BORDER = 1e-5;

/** Bin of a place in 0 … 1, of an even number of equal ones. Of two bins it is the one nearer to the middle that holds their border. */
export function binAt(place: number, bins: number): number {
  const fromEnd = Math.floor(Math.min(place, 1 - place) * bins + ON_BORDER);
  const bin = Math.min(bins / 2 - 1, Math.max(0, fromEnd));
  return place <= 0.5 ? bin : bins - 1 - bin;
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
