import type { CameraStand } from '../intake/photoTypes.ts';

/** What a height of the margin rests on: a thickness that was told, one that another view shows, a usual share of the width, or how large Face B looks beside Face A. */
export type HeightSource = 'thickness' | 'edge-on' | 'tip' | 'width' | 'faces';

/** How high the margin stands over the plane of the scale, mm, with its standard uncertainty. 0 where nothing was corrected. */
export interface MarginHeight {
  readonly value: number;
  readonly u: number;
  readonly from: readonly HeightSource[];
}

export const NO_HEIGHT: MarginHeight = { value: 0, u: 0, from: [] };

/** A thickness of the whole piece and what it rests on. */
export interface KnownThickness {
  readonly value: number;
  readonly u: number;
  readonly from: Exclude<HeightSource, 'faces'>;
}

/**
 * Half the thickness of a biface over its width where nothing tells it, and its standard uncertainty: width over thickness of
 * 2, 3 and 4, as published for successive stages, make 0.18 on the average, and from 1.6 to 12 lies within twice the uncertainty (practice).
 */
const HALF_THICKNESS = 0.18;
const HALF_THICKNESS_U = 0.07;
/** Where the margin lies between the faces: half-way up, with this standard uncertainty as a share of the thickness (practice). */
const MARGIN_U = 0.1;

/** What the width of a piece (mm) tells of its thickness. */
export function usualThickness(width: number): KnownThickness {
  return { value: 2 * HALF_THICKNESS * width, u: 2 * HALF_THICKNESS_U * width, from: 'width' };
}

/** Half-way up, of one picture. */
export function halfWayUp({ value, u, from }: KnownThickness): MarginHeight {
  return { value: value / 2, u: Math.hypot(MARGIN_U * value, u / 2), from: [from] };
}

/** One of two pictures in which a piece lies on the one face and then on the other. */
export interface LyingFace {
  /** Height of the camera over what the piece lies on, mm. */
  readonly camera: Pick<CameraStand, 'height'>;
  /** Square root of the outline's area when the margin stands `at` mm high, and its relative standard uncertainty apart from that. */
  readonly size: number;
  readonly relative: number;
  readonly at: number;
}

/**
 * Heights of the margin in the pictures of Face A and Face B, on either of which the piece lay. Together they are the
 * thickness; what the one is more than half of it the other is less. One outline must come out at one size in both: that
 * is a measurement of how the two differ, and, where the cameras stood unlike high, of the thickness too. Least squares with what is known
 * of the thickness and of the margin's place beforehand. Undefined where the sizes contradict that by more than two standard
 * deviations: then something else is wrong.
 */
export function heightsByFaces(
  thickness: KnownThickness,
  a: LyingFace,
  b: LyingFace,
): { readonly a: MarginHeight; readonly b: MarginHeight } | undefined {
  const { value, u, from } = thickness;
  // A length on the margin's level is (Z − h)/Z of what it looks on the plane.
  const slope = ({ camera, at }: LyingFace): number => 1 / (camera.height - at);
  const [ofA, ofB] = [slope(a), slope(b)];
  // By how much of its logarithm Face B is larger when both stand half-way up.
  const half = value / 2;
  const larger = Math.log(b.size / a.size) - ofB * (half - b.at) + ofA * (half - a.at);
  // Unknown: what the thickness is more, and what the margin of Face A stands over half of it.
  const [varT, varM] = [u * u, (MARGIN_U * value) ** 2];
  const [onT, onM] = [(ofA - ofB) / 2, ofA + ofB];
  const noise = a.relative ** 2 + b.relative ** 2;
  const variance = onT * onT * varT + onM * onM * varM + noise;
  if (larger * larger > 4 * variance) return undefined;
  const [gainT, gainM] = [(varT * onT) / variance, (varM * onM) / variance];
  const [moreT, moreM] = [-gainT * larger, -gainM * larger];
  const [leftT, leftM] = [varT * (1 - gainT * onT), varM * (1 - gainM * onM)];
  const shared = -gainT * onM * varM;
  const known = (way: 1 | -1): MarginHeight => ({
    value: half + moreT / 2 + way * moreM,
    u: Math.sqrt(Math.max(0, leftT / 4 + leftM + way * shared)),
    from: [from, 'faces'],
  });
  return { a: known(1), b: known(-1) };
}
