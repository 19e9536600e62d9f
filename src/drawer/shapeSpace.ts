import { type EllipticFourier, fourierCurve } from '../geometry/ellipticFourier.ts';
import { FOURIER_NUMBERS } from './lean.ts';
import { principalComponents } from './statsComponents.ts';

/** Axes that are kept. */
export const SHAPE_AXES = 4;
/** Standard deviations to either side of the mean at which an axis is pictured. */
export const SHAPE_REACH = 2;
/** Points of a pictured outline. */
const PICTURED = 160;

/** Shapes of outlines, free of size, place and turn, along their principal components. */
export interface ShapeSpace {
  /** Pieces of the collection that have coefficients, in its order. */
  readonly which: Int32Array;
  /** Of each axis: share of the variance, place of each of those pieces, its standard deviation. */
  readonly axes: readonly {
    readonly share: number;
    readonly sd: number;
    readonly scores: Float64Array;
    /** Outlines at −SHAPE_REACH and +SHAPE_REACH standard deviations, x y pairs, tip up, half the long axis 1. */
    readonly low: Float64Array;
    readonly high: Float64Array;
  }[];
  readonly mean: Float64Array;
}

/**
 * Principal components of elliptic Fourier coefficients (20 harmonics; the first, which only turns and scales, takes part with
 * what is left of it). Null with fewer than three pieces that have coefficients.
 */
export function shapeSpace(fourier: Float64Array, wanted: ArrayLike<number>): ShapeSpace | null {
  const rowOf = (i: number): Float64Array => fourier.subarray(i * FOURIER_NUMBERS, (i + 1) * FOURIER_NUMBERS);
  const which = Int32Array.from(wanted).filter((i) => rowOf(i).every(Number.isFinite));
  if (which.length < 3) return null;
  const { mean, axes, variance, share, scores } = principalComponents(Array.from(which, rowOf), SHAPE_AXES);
  const at = (k: number, sds: number): Float64Array => {
    const by = sds * Math.sqrt(variance[k]);
    return picture(mean.map((v, j) => v + by * axes[k][j]));
  };
  return {
    which,
    mean: picture(mean),
    axes: axes.map((_, k) => ({
      share: share[k],
      sd: Math.sqrt(variance[k]),
      scores: scores[k],
      low: at(k, -SHAPE_REACH),
      high: at(k, SHAPE_REACH),
    })),
  };
}

/** The outline of coefficients. They lie with the tip along +x: a quarter turn sets it up. */
function picture(numbers: Float64Array): Float64Array {
  const column = (offset: number): Float64Array =>
    Float64Array.from({ length: FOURIER_NUMBERS / 4 }, (_, h) => numbers[4 * h + offset]);
  const coefficients: EllipticFourier = {
    a: column(0),
    b: column(1),
    c: column(2),
    d: column(3),
    a0: 0,
    c0: 0,
  };
  const flat = fourierCurve(coefficients, PICTURED);
  return Float64Array.from(flat, (_, j) => (j % 2 === 0 ? -flat[j + 1] : flat[j - 1]));
}
