import { addRoughness, splineCount } from '../geometry/asymmetricBasis.ts';
import { fitAsymmetric, type SparseRows } from '../geometry/asymmetricFit.ts';
import { binAt, type FaceFrame } from './humpsFace.ts';
import { faceProfiles } from './humpsProfile.ts';
import {
  ACROSS,
  ALONG,
  COEFFICIENTS,
  type FaceTerms,
  faceTerms,
  GRID,
  PER_ROW,
  PLACES,
} from './humpsTerms.ts';

/** The face as it would be had thinning succeeded. */
export interface Reference {
  /** Height over the margin surface at every covered cell, mm; NaN elsewhere. */
  readonly heights: Float32Array;
  /** Robust standard deviation of the face about it, mm: scars and misfit, not humps. */
  readonly spread: number;
}

/** Bins of the fit in each interval of the splines: no bin lies in two. */
const BINS_ALONG = 6;
const BINS_ACROSS = 4;
const BINS = ALONG * BINS_ALONG * ACROSS * BINS_ACROSS;
/** Stiffness against second differences, per bin. */
const STIFF_ALONG = 5e-3;
const STIFF_ACROSS = 1e-4;
/** Shrinkage that keeps the system solvable where bins are empty or terms alike, per bin. */
const RIDGE_GRID = 1e-6;
const RIDGE_OTHERS = 1e-4;
/** A bin of n cells has weight n to this power: cells next to each other do not tell independent things. */
const WEIGHT_POWER = 0.75;
const ROUNDS = 8;

/**
 * Fits the reference r = Σ grid + Σ products to one face:
 * - the grid: stiff cubic B-splines along the length, times cubic B-splines across and the common form of the sections;
 * - products that the plan decides: powers of the root of the dome over it and over its convex hull and of the distance to
 *   the margin, the usual rise from the margin and a ridge, each as it changes with y, and a lean sideways. They make a
 *   face rise from every margin, also round notches and barbs; the hull's, because a face that was thinned before it was
 *   notched stays as thick beside the notch as it was;
 * - the winding of either margin, fading inward: how far a face follows it is estimated, not supposed.
 *
 * Cells in `leaveOut` have no say. What stands above the fit by less than `leastOutlier` mm is never held to be an outlier.
 */
export function fitReference(
  frame: FaceFrame,
  heights: Float32Array,
  leastOutlier: number,
  leaveOut?: Uint8Array,
): Reference {
  const cells = leaveOut === undefined ? frame.sample : frame.sample.filter((k) => leaveOut[k] === 0);
  const terms = faceTerms(frame, faceProfiles(frame, cells, heights));
  const { rows, values, weights } = binned(frame, cells, heights, terms);
  const fit = fitAsymmetric(rows, values, weights, penalty(), { leastOutlier, rounds: ROUNDS });
  return { heights: terms.surface(fit.coefficients), spread: fit.spread };
}

/** Means of heights and terms over bins of the plan, and the bins' weights, 1 on average. */
function binned(
  frame: FaceFrame,
  cells: Uint32Array,
  heights: Float32Array,
  terms: FaceTerms,
): { rows: SparseRows; values: Float64Array; weights: Float64Array } {
  const value = new Float64Array(BINS * PER_ROW);
  const index = new Uint16Array(BINS * PER_ROW);
  const values = new Float64Array(BINS);
  const counts = new Float64Array(BINS);
  for (const k of cells) {
    const bin = binOf(frame, k);
    counts[bin]++;
    values[bin] += heights[k];
    terms.at(k);
    accumulate(value, index, bin * PER_ROW, terms);
  }
  const weights = counts.map((n) => n ** WEIGHT_POWER);
  const mean = weights.reduce((a, b) => a + b, 0) / BINS;
  for (let bin = 0; bin < BINS; bin++) {
    weights[bin] /= mean;
    if (counts[bin] === 0) continue;
    values[bin] /= counts[bin];
    for (let o = bin * PER_ROW; o < (bin + 1) * PER_ROW; o++) value[o] /= counts[bin];
  }
  return {
    rows: { count: BINS, perRow: PER_ROW, coefficients: COEFFICIENTS, index, value },
    values,
    weights,
  };
}

function accumulate(value: Float64Array, index: Uint16Array, start: number, terms: FaceTerms): void {
  for (let i = 0; i < PER_ROW; i++) {
    value[start + i] += terms.value[i];
    index[start + i] = terms.index[i];
  }
}

function binOf({ map, along, across }: FaceFrame, k: number): number {
  const u = binAt(along[Math.floor(k / map.columns)], ALONG * BINS_ALONG);
  return u * ACROSS * BINS_ACROSS + binAt(across[k], ACROSS * BINS_ACROSS);
}

function penalty(): Float64Array {
  const out = new Float64Array(COEFFICIENTS * COEFFICIENTS);
  for (let j = 0; j < PLACES; j++) {
    addRoughness(out, COEFFICIENTS, j, PLACES, splineCount(ALONG), STIFF_ALONG * BINS);
  }
  for (let i = 0; i < splineCount(ALONG); i++) {
    addRoughness(out, COEFFICIENTS, i * PLACES, 1, splineCount(ACROSS), STIFF_ACROSS * BINS);
  }
  for (let i = 0; i < COEFFICIENTS; i++) {
    out[i * (COEFFICIENTS + 1)] += (i < GRID ? RIDGE_GRID : RIDGE_OTHERS) * BINS;
  }
  return out;
}
