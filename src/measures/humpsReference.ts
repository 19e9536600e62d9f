import { addRoughness, splineCount, splinesAt } from '../geometry/asymmetricBasis.ts';
import { fitAsymmetric, type SparseRows } from '../geometry/asymmetricFit.ts';
import type { FaceFrame } from './humpsFace.ts';
import { type FaceProfiles, faceProfiles } from './humpsProfile.ts';

/** The face as it would be had thinning succeeded. */
export interface Reference {
  /** Height over the margin surface at every covered cell, mm; NaN elsewhere. */
  readonly heights: Float32Array;
  /** Robust standard deviation of the face about it, mm: scars and misfit, not humps. */
  readonly spread: number;
}

/** A model of faces over one plan, shared by both of them. */
export interface ReferenceModel {
  /**
   * Fits one face. Cells in `leaveOut` have no say. What stands above the fit by less than `leastOutlier` mm is never
   * held to be an outlier.
   */
  fit(heights: Float32Array, leastOutlier: number, leaveOut?: Uint8Array): Reference;
}

/** Intervals of the splines along and across, and how many bins each is divided into for the fit. */
const ALONG = 4;
const ACROSS = 5;
const BINS_ALONG = 6;
const BINS_ACROSS = 4;
/** Stiffness against second differences, per row of the fit. */
const STIFF_ALONG = 5e-3;
const STIFF_ACROSS = 1e-4;
/** Shrinkage that keeps the system solvable where bins are empty or terms alike, per row of the fit. */
const RIDGE_SPLINE = 1e-6;
const RIDGE_SHAPE = 1e-4;
/** A bin of n cells has weight n to this power: cells next to each other do not tell independent things. */
const WEIGHT_POWER = 0.75;
const ROUNDS = 8;

const ACROSS_COUNT = splineCount(ACROSS);
const SPLINES = splineCount(ALONG) * ACROSS_COUNT;
const SHAPES = 25;
const WINDINGS = 4;
const SECTIONS = splineCount(ALONG);
const RISES = 3;
const COEFFICIENTS = SPLINES + SHAPES + WINDINGS + SECTIONS + RISES;
/** Terms that both faces share, and all. */
const SHARED = 16 + SHAPES + WINDINGS;
const PER_ROW = SHARED + 4 + RISES;

/**
 * Reference height r = spline(along, across) + Σ shape terms + Σ winding terms:
 * - a stiff product of cubic B-splines in the two natural coordinates of the plan;
 * - shapes that the plan alone decides, the root of the dome w and the depth d, as w, w², w³, w⁵, d, d², each times
 *   1, y, y², and w·x, w²·x, w·x·y: these make faces rise from every margin, also round notches and barbs, with or without
 *   a ridge along the middle;
 * - the winding of either margin, faded inward as 1 − t² and (1 − t²)²: how far a face follows its margin's winding is
 *   estimated, not supposed.
 */
export function createReferenceModel(frame: FaceFrame): ReferenceModel {
  const bins = ALONG * BINS_ALONG * ACROSS * BINS_ACROSS;
  const terms = createTerms(frame);
  return {
    fit(heights, leastOutlier, leaveOut) {
      const profiles = faceProfiles(frame, heights, leaveOut);
      const value = new Float64Array(bins * PER_ROW);
      const index = new Uint16Array(bins * PER_ROW);
      const count = new Float64Array(bins);
      const sums = new Float64Array(bins);
      for (const k of frame.cells) {
        if (leaveOut?.[k]) continue;
        const bin = terms.at(k, profiles);
        count[bin]++;
        sums[bin] += heights[k];
        // Bins end where splines do, so that one bin has the same ones throughout.
        for (let i = 0, o = bin * PER_ROW; i < PER_ROW; i++, o++) {
          value[o] += terms.value[i];
          index[o] = terms.index[i];
        }
      }
      const rows: SparseRows = { count: bins, perRow: PER_ROW, coefficients: COEFFICIENTS, index, value };
      const weights = meanRows(rows, sums, count);
      const fit = fitAsymmetric(rows, sums, weights, penalty(bins), { leastOutlier, rounds: ROUNDS });
      const out = new Float32Array(heights.length).fill(NaN);
      for (const k of frame.cells) {
        terms.at(k, profiles);
        let height = 0;
        for (let i = 0; i < PER_ROW; i++) height += terms.value[i] * fit.coefficients[terms.index[i]];
        out[k] = height;
      }
      return { heights: out, spread: fit.spread };
    },
  };
}

/** Turns sums over bins into means, in place; returns the weights of the bins, 1 on average. */
function meanRows(
  { count: bins, perRow, value }: SparseRows,
  sums: Float64Array,
  counts: Float64Array,
): Float64Array {
  const weights = counts.map((n) => n ** WEIGHT_POWER);
  const mean = weights.reduce((a, b) => a + b, 0) / bins;
  for (let bin = 0; bin < bins; bin++) {
    weights[bin] /= mean;
    if (counts[bin] === 0) continue;
    sums[bin] /= counts[bin];
    for (let o = bin * perRow; o < (bin + 1) * perRow; o++) value[o] /= counts[bin];
  }
  return weights;
}

function penalty(rows: number): Float64Array {
  const out = new Float64Array(COEFFICIENTS * COEFFICIENTS);
  for (let j = 0; j < ACROSS_COUNT; j++) {
    addRoughness(out, COEFFICIENTS, j, ACROSS_COUNT, splineCount(ALONG), STIFF_ALONG * rows);
  }
  for (let i = 0; i < splineCount(ALONG); i++) {
    addRoughness(out, COEFFICIENTS, i * ACROSS_COUNT, 1, ACROSS_COUNT, STIFF_ACROSS * rows);
  }
  for (let i = 0; i < COEFFICIENTS; i++) {
    out[i * (COEFFICIENTS + 1)] += (i < SPLINES ? RIDGE_SPLINE : RIDGE_SHAPE) * rows;
  }
  return out;
}

/** Evaluates the terms of the model at a cell into `value` and `index` and returns the cell's bin. */
function createTerms(frame: FaceFrame) {
  const { map, edges, along, across, dome, depth } = frame;
  const index = new Uint16Array(PER_ROW);
  const value = new Float64Array(PER_ROW);
  const lengthwise = new Float64Array(4);
  const crosswise = new Float64Array(4);
  const last = { along: ALONG * BINS_ALONG - 1, across: ACROSS * BINS_ACROSS - 1 };
  for (let i = 16; i < SHARED; i++) index[i] = SPLINES + i - 16;
  for (let i = 0; i < RISES; i++) index[SHARED + 4 + i] = COEFFICIENTS - RISES + i;
  const binOf = (k: number): number => {
    const u = Math.min(last.along, Math.floor(along[Math.floor(k / map.columns)] * (last.along + 1)));
    const v = Math.min(last.across, Math.floor(across[k] * (last.across + 1)));
    return u * (last.across + 1) + v;
  };
  const at = (k: number, profiles: FaceProfiles): number => {
    const row = Math.floor(k / map.columns);
    const u = splinesAt(along[row], ALONG, lengthwise);
    const v = splinesAt(across[k], ACROSS, crosswise);
    for (let i = 0; i < 4; i++) {
      for (let j = 0; j < 4; j++) {
        index[4 * i + j] = (u + i) * ACROSS_COUNT + v + j;
        value[4 * i + j] = lengthwise[i] * crosswise[j];
      }
    }
    const x = map.x0 + (k - row * map.columns) * map.cell;
    const y = (2 * (map.y0 + row * map.cell)) / frame.length - 1;
    const d = depth[k] / frame.greatestDepth;
    const left = edges.leftX[row];
    const t = (2 * (x - left)) / (edges.rightX[row] - left) - 1;
    shapeTerms(value, 16, dome[k], d, 1 - Math.abs(t), (2 * x) / frame.width, y);
    windingTerms(value, 16 + SHAPES, t, edges.leftZ[row], edges.rightZ[row]);
    const section = profiles.section(k);
    for (let i = 0; i < 4; i++) {
      index[SHARED + i] = SPLINES + SHAPES + WINDINGS + u + i;
      value[SHARED + i] = section * lengthwise[i];
    }
    put3(value, SHARED + 4, profiles.rise(k), y);
    return binOf(k);
  };
  return { at, value, index };
}

function shapeTerms(
  out: Float64Array,
  o: number,
  w: number,
  d: number,
  roof: number,
  x: number,
  y: number,
): void {
  const w2 = w * w;
  const w3 = w2 * w;
  let i = put3(out, o, w, y);
  i = put3(out, i, w2, y);
  i = put3(out, i, w3, y);
  i = put3(out, i, w2 * w3, y);
  i = put3(out, i, d, y);
  i = put3(out, i, d * d, y);
  out[i] = w * x;
  out[i + 1] = w2 * x;
  out[i + 2] = w * x * y;
  out[i + 3] = roof;
  out[i + 4] = roof * y;
  out[i + 5] = roof * w;
  out[i + 6] = roof * w * y;
}

function put3(out: Float64Array, i: number, f: number, y: number): number {
  out[i] = f;
  out[i + 1] = f * y;
  out[i + 2] = f * y * y;
  return i + 3;
}

function windingTerms(out: Float64Array, i: number, t: number, leftZ: number, rightZ: number): void {
  const left = (leftZ * (1 - t)) / 2;
  const right = (rightZ * (1 + t)) / 2;
  const gentle = Math.max(0, 1 - t * t);
  const steep = Math.max(0, 1 - t ** 8);
  out[i] = left * gentle;
  out[i + 1] = right * gentle;
  out[i + 2] = left * steep;
  out[i + 3] = right * steep;
}
