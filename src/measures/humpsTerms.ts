import { splineCount, splinesAt } from '../geometry/asymmetricBasis.ts';
import type { FaceFrame } from './humpsFace.ts';
import type { FaceProfiles } from './humpsProfile.ts';

/** Intervals of the splines along and across a face. */
export const ALONG = 4;
export const ACROSS = 5;
const SPLINES_ACROSS = splineCount(ACROSS);
/** Along each spline of the length run the splines across and, as one more, the common form of the sections. */
export const PLACES = SPLINES_ACROSS + 1;
export const GRID = splineCount(ALONG) * PLACES;

/**
 * The other terms are products of a factor of the cell and a factor of its row. Factors of the cell: powers of the root of
 * the dome w, of the hull's dome h and of the depth d, the usual rise, w and w² leaning sideways, a ridge, and fades of the left and the right
 * margin's winding. Factors of the row: 1, y, y² with y from −1 at the base to 1 at the tip, and the height of either
 * margin.
 */
const CELL = [
  'w',
  'w2',
  'w3',
  'w5',
  'h',
  'h2',
  'h5',
  'd',
  'd2',
  'rise',
  'wx',
  'w2x',
  'ridge',
  'fadeL',
  'fadeR',
  'stepL',
  'stepR',
];
const ROW = ['1', 'y', 'y2', 'left', 'right'];
const PRODUCTS: readonly (readonly [cell: string, row: string])[] = [
  ...['w', 'w2', 'w3', 'w5', 'h', 'h2', 'h5', 'd', 'd2', 'rise', 'ridge'].flatMap((c) =>
    ['1', 'y', 'y2'].map((r) => [c, r] as const),
  ),
  ['wx', '1'],
  ['wx', 'y'],
  ['w2x', '1'],
  ['fadeL', 'left'],
  ['fadeR', 'right'],
  ['stepL', 'left'],
  ['stepR', 'right'],
];
const CELL_OF = Uint8Array.from(PRODUCTS, ([cell]) => CELL.indexOf(cell));
const ROW_OF = Uint8Array.from(PRODUCTS, ([, row]) => ROW.indexOf(row));

export const COEFFICIENTS = GRID + PRODUCTS.length;
/** Entries of a row of the model: 4 splines along × (4 across + the section), and the products. */
export const PER_ROW = 20 + PRODUCTS.length;

/** The terms of the model over one face: at a cell for fitting, and summed over all cells for the fitted surface. */
export interface FaceTerms {
  /** Values of the model's entries at cell `k`, and the coefficients that they belong to; overwritten by the next call. */
  readonly value: Float64Array;
  readonly index: Uint16Array;
  at(k: number): void;
  /** The surface that the coefficients make, at every covered cell; NaN elsewhere. */
  surface(coefficients: Float64Array): Float32Array;
}

export function faceTerms(frame: FaceFrame, profiles: FaceProfiles): FaceTerms {
  const { map, along } = frame;
  const value = new Float64Array(PER_ROW);
  const index = new Uint16Array(PER_ROW);
  const lengthwise = new Float64Array(4);
  const crosswise = new Float64Array(5);
  const cell = new Float64Array(CELL.length);
  const rowFactors = new Float64Array(ROW.length);
  for (let i = 20; i < PER_ROW; i++) index[i] = GRID + i - 20;
  return {
    value,
    index,
    at(k) {
      const row = Math.floor(k / map.columns);
      const u = splinesAt(along[row], ALONG, lengthwise);
      const v = cellFactors(frame, profiles, k, row, cell, crosswise);
      fillRow(rowFactors, frame, row);
      for (let i = 0, o = 0; i < 4; i++) {
        const first = (u + i) * PLACES;
        for (let j = 0; j < 5; j++, o++) {
          index[o] = j < 4 ? first + v + j : first + SPLINES_ACROSS;
          value[o] = lengthwise[i] * crosswise[j];
        }
      }
      for (let i = 0; i < CELL_OF.length; i++) value[20 + i] = cell[CELL_OF[i]] * rowFactors[ROW_OF[i]];
    },
    surface(coefficients) {
      const out = new Float32Array(map.columns * map.rows).fill(NaN);
      const places = new Float64Array(PLACES);
      const others = new Float64Array(CELL.length);
      let last = -1;
      for (const k of frame.cells) {
        const row = Math.floor(k / map.columns);
        if (row !== last) {
          // What a row has in common is summed once.
          const u = splinesAt(along[row], ALONG, lengthwise);
          fillRow(rowFactors, frame, row);
          contract(coefficients, u, lengthwise, rowFactors, places, others);
          last = row;
        }
        const v = cellFactors(frame, profiles, k, row, cell, crosswise);
        out[k] = weighed(crosswise, places, v, cell, others);
      }
      return out;
    },
  };
}

/** What the factors of one cell come to: `first` is the place of its first spline. */
function weighed(
  crosswise: Float64Array,
  places: Float64Array,
  first: number,
  cell: Float64Array,
  others: Float64Array,
): number {
  let height = crosswise[4] * places[SPLINES_ACROSS];
  for (let j = 0; j < 4; j++) height += crosswise[j] * places[first + j];
  for (let i = 0; i < others.length; i++) height += cell[i] * others[i];
  return height;
}

/** Sets the factors of one cell: splines and the section across, all else in `cell`. Returns the number of the first spline. */
function cellFactors(
  frame: FaceFrame,
  profiles: FaceProfiles,
  k: number,
  row: number,
  cell: Float64Array,
  crosswise: Float64Array,
): number {
  crosswise[4] = profiles.section(k);
  fillCell(cell, frame, profiles, k, row);
  return splinesAt(frame.across[k], ACROSS, crosswise);
}

/** Sums the coefficients over the factors of one row: what is left are weights of the factors of its cells. */
function contract(
  coefficients: Float64Array,
  first: number,
  lengthwise: Float64Array,
  row: Float64Array,
  places: Float64Array,
  others: Float64Array,
): void {
  for (let j = 0; j < PLACES; j++) {
    let sum = 0;
    for (let i = 0; i < 4; i++) sum += lengthwise[i] * coefficients[(first + i) * PLACES + j];
    places[j] = sum;
  }
  others.fill(0);
  for (let i = 0; i < CELL_OF.length; i++) others[CELL_OF[i]] += coefficients[GRID + i] * row[ROW_OF[i]];
}

function fillCell(
  out: Float64Array,
  { map, edges, dome, hullDome, depth, width, greatestDepth }: FaceFrame,
  profiles: FaceProfiles,
  k: number,
  row: number,
): void {
  const x = map.x0 + (k - row * map.columns) * map.cell;
  const left = edges.leftX[row];
  const t = (2 * (x - left)) / (edges.rightX[row] - left) - 1;
  const t2 = Math.min(1, t * t);
  const t8 = t2 * t2 * t2 * t2;
  const sideways = (2 * x) / width;
  const w = dome[k];
  const h = hullDome[k];
  const d = depth[k] / greatestDepth;
  out[0] = w;
  out[1] = w * w;
  out[2] = w * w * w;
  out[3] = w * w * w * w * w;
  out[4] = h;
  out[5] = h * h;
  out[6] = h * h * h * h * h;
  out[7] = d;
  out[8] = d * d;
  out[9] = profiles.rise(k);
  out[10] = w * sideways;
  out[11] = w * w * sideways;
  out[12] = (1 - Math.abs(t)) * w;
  out[13] = ((1 - t) / 2) * (1 - t2);
  out[14] = ((1 + t) / 2) * (1 - t2);
  out[15] = ((1 - t) / 2) * (1 - t8);
  out[16] = ((1 + t) / 2) * (1 - t8);
}

function fillRow(out: Float64Array, { map, edges, length }: FaceFrame, row: number): void {
  const y = (2 * (map.y0 + row * map.cell)) / length - 1;
  out[0] = 1;
  out[1] = y;
  out[2] = y * y;
  out[3] = edges.leftZ[row];
  out[4] = edges.rightZ[row];
}
