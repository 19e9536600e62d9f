import { invert3, multiply3 } from '../geometry/homography.ts';
import { FILM_DIAGONAL } from './photoTags.ts';
import type { CameraStand, RadialTerm } from './photoTypes.ts';

/** Relative standard uncertainty of a focal length by EXIF: rounded to a millimetre, and lenses breathe (practice). */
const EXIF_RELATIVE = 0.04;
/** What cameras have when nothing tells: 35 mm on film, from telephones' 24 to 50 for still lifes (practice). */
const ASSUMED = { focal35: 35, relative: 0.35 };
/** A principal point off the middle, which the tilt can't tell from another focal length, costs about this (practice). */
const OFF_MIDDLE = 0.03;
/** A focal length from the tilt alone counts as known when its relative uncertainty is below this. */
const KNOWN = 0.15;

/** EXIF and the tilt contradict each other when they differ by this many standard deviations. */
const CONTRADICTION = 4;

export interface FocalLength {
  /** Pixels. */
  readonly focal: number;
  readonly source: CameraStand['focalSource'];
  readonly relative: number;
  /** EXIF tells a focal length that the tilt rules out: the picture was cropped or resampled unevenly. */
  readonly contradicted: boolean;
}

/** `focal35` (mm on 36 × 24 mm film) in pixels of an image whose half diagonal is `radius` pixels. */
export function focalPixels(focal35: number, radius: number): number {
  return (focal35 * 2 * radius) / FILM_DIAGONAL;
}

/**
 * Square pixels and a principal point in the middle make the columns of K⁻¹H, for a plane's axes, equally long and
 * square to each other: two equations in 1/f². Their least-squares answer: 1/f² in px⁻². `toImage` takes plane mm to
 * straight pixels.
 */
export function inverseFocalSquare(toImage: Float64Array, { centreX, centreY }: RadialTerm): number {
  const [a, b, , d, e, , g, h] = multiply3(Float64Array.of(1, 0, -centreX, 0, 1, -centreY, 0, 0, 1), toImage);
  // Each equation: part·(1/f²) + rest = 0.
  const [square, squareRest] = [a * b + d * e, g * h];
  const [equal, equalRest] = [(a * a + d * d - b * b - e * e) / 2, (g * g - h * h) / 2];
  return -(square * squareRest + equal * equalRest) / (square * square + equal * equal);
}

/**
 * The focal length: what EXIF tells, or else what cameras usually have, weighed against what the tilt tells (`tilt`, 1/f²
 * with its standard uncertainty). Where a telling tilt contradicts EXIF the tilt is believed: it is of this picture.
 */
export function settleFocal(
  focal35: number | undefined,
  radius: number,
  tilt: { readonly value: number; readonly u: number },
): FocalLength {
  const told =
    focal35 === undefined
      ? { log: Math.log(focalPixels(ASSUMED.focal35, radius)), relative: ASSUMED.relative }
      : { log: Math.log(focalPixels(focal35, radius)), relative: EXIF_RELATIVE };
  const source = focal35 === undefined ? 'assumed' : 'exif';
  if (!(tilt.value > 0) || !Number.isFinite(tilt.u)) {
    return { focal: Math.exp(told.log), source, relative: told.relative, contradicted: false };
  }
  // f = x^(−1/2): a relative uncertainty of x is twice that of f.
  const seen = { log: -Math.log(tilt.value) / 2, relative: Math.hypot(tilt.u / tilt.value / 2, OFF_MIDDLE) };
  const apart = Math.abs(seen.log - told.log) / Math.hypot(seen.relative, told.relative);
  if (focal35 !== undefined && apart > CONTRADICTION && seen.relative < KNOWN) {
    return { focal: Math.exp(seen.log), source: 'tilt', relative: seen.relative, contradicted: true };
  }
  const [wSeen, wTold] = [1 / seen.relative ** 2, 1 / told.relative ** 2];
  const relative = 1 / Math.sqrt(wSeen + wTold);
  return {
    focal: Math.exp((wSeen * seen.log + wTold * told.log) / (wSeen + wTold)),
    source: source === 'assumed' && relative < KNOWN ? 'tilt' : source,
    relative,
    contradicted: false,
  };
}

/**
 * Where the camera stood: K⁻¹H = λ·[r1 r2 t], so that the centre of projection is −Rᵀt. Height is over the plane, on
 * the side from which the plane's axes look right-handed.
 */
export function standOf(
  toImage: Float64Array,
  { centreX, centreY }: RadialTerm,
  known: FocalLength,
): CameraStand {
  const f = known.focal;
  const inverseK = Float64Array.of(1 / f, 0, -centreX / f, 0, 1 / f, -centreY / f, 0, 0, 1);
  const m = multiply3(inverseK, toImage);
  // The plane lies before the camera: the depth of its origin is positive.
  const sign = m[8] < 0 ? -1 : 1;
  const scale = (sign * (Math.hypot(m[0], m[3], m[6]) + Math.hypot(m[1], m[4], m[7]))) / 2;
  // r1 and r2 are not quite square and equal for a measured H: half of the misfit goes to each.
  const { r1, r2 } = squared(
    [m[0] / scale, m[3] / scale, m[6] / scale],
    [m[1] / scale, m[4] / scale, m[7] / scale],
  );
  const r3 = [r1[1] * r2[2] - r1[2] * r2[1], r1[2] * r2[0] - r1[0] * r2[2], r1[0] * r2[1] - r1[1] * r2[0]];
  const t = [m[2] / scale, m[5] / scale, m[8] / scale];
  const along = (r: readonly number[]): number => -(r[0] * t[0] + r[1] * t[1] + r[2] * t[2]);
  return {
    height: Math.abs(along(r3)),
    footX: along(r1),
    footY: along(r2),
    tilt: (Math.acos(Math.min(1, Math.abs(r3[2]))) * 180) / Math.PI,
    focal: f,
    focalSource: known.source,
    relative: known.relative,
  };
}

/** The nearest pair of unit vectors square to each other: the sum and the difference of the two are kept. */
function squared(a: readonly number[], b: readonly number[]): { r1: number[]; r2: number[] } {
  const unit = (v: readonly number[]): number[] => {
    const length = Math.hypot(...v);
    return v.map((value) => value / length);
  };
  const [p, q] = [unit(a), unit(b)];
  const sum = unit(p.map((value, i) => value + q[i]));
  const difference = unit(p.map((value, i) => value - q[i]));
  return {
    r1: sum.map((value, i) => (value + difference[i]) * Math.SQRT1_2),
    r2: sum.map((value, i) => (value - difference[i]) * Math.SQRT1_2),
  };
}

/** Inverse map with its last entry 1, so that numbers are of a size that a person can read. */
export function inverseMap(h: Float64Array): Float64Array {
  const inverse = invert3(h);
  return inverse.map((value) => value / inverse[8]);
}

/**
 * Relative standard uncertainty that the parallax correction adds to a length at `height` mm over the plane, when that
 * height is known to `uHeight` mm: the length is (Z − h)/Z of what it looks, so that dL/L = h/(Z·(Z − h))·dZ − dh/(Z − h).
 */
export function parallaxRelative(
  { height: z, relative }: CameraStand,
  height: number,
  uHeight: number,
): number {
  return Math.hypot((height * relative) / (z - height), uHeight / (z - height));
}
