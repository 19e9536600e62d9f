import { chordGaps } from '../geometry/chordGaps.ts';
import { cutBeyond } from '../geometry/cornerCut.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Model, ScanQuality } from '../trace/types.ts';
import { endFactor, nearestPoint } from './outlineTips.ts';
import type { Components } from './types.ts';

/** Errors of an outline drawn from a picture are alike over about this many of its pixels: facets, grain and the reach of its smoothing. */
const ALIKE_EDGES = 20;
/** Where a line does not tell its own coarseness it may miss the true margin by up to this share of an edge: rectangular. */
const EDGE_SHARE = 0.1;

/**
 * An end of an outline from a photograph errs by so many times what readings stray about it, at most by so many pixels for that
 * alone (on generated pictures): at a corner every reading sees both sides. And so many points to either side of it count.
 */
const [END_STRAY, END_MOST] = [4, 3];
const END_REACH = 20;

/** Standard uncertainty of the place of one point of the outline, square to it, in mm: of a typical one. */
export function pointError(quality: ScanQuality): { readonly noise: number; readonly resolution: number } {
  return {
    noise: Math.hypot(quality.line?.plan ?? quality.noise, quality.alike?.sigma ?? 0),
    resolution: Math.hypot(
      quality.lineError ?? (EDGE_SHARE * quality.meanEdge) / Math.sqrt(3),
      quality.tracing ?? 0,
      quality.thinning ?? 0,
    ),
  };
}

/**
 * How many independent errors a stretch of outline `span` mm long holds, at least one. Smoothing leaves means as they are:
 * over a stretch the errors left average out as the line's own noise would have, one for each of its points.
 */
export function independentPoints(quality: ScanQuality, span: number): number {
  const { alike, line, meanEdge } = quality;
  if (alike !== undefined) {
    // Two errors, each with its own number: as many of both together as leave the same variance.
    const { alike: _, ...single } = quality;
    const own = (line?.plan ?? quality.noise) ** 2;
    const shared = alike.sigma ** 2;
    const stretches = Math.max(1, span / alike.reach);
    return Math.max(1, (own + shared) / (own / independentPoints(single, span) + shared / stretches));
  }
  if (line === undefined || !(line.noise > 0)) {
    return Math.max(1, meanEdge > 0 ? span / (ALIKE_EDGES * meanEdge) : 1);
  }
  return Math.max(1, (span / line.spacing) * (line.plan / line.noise) ** 2);
}

/**
 * Components of a value that moves by `slope` (its unit per mm) when the points it rests on move together, and that
 * rests on `points` independent ones. Noise and the stray of a line's own points average out over them; a coarseness that
 * the line does not tell, what a second tracing found, and what thinning moved, may lean to one side and do not.
 */
export function outlineComponents(quality: ScanQuality, slope: number, points = 1): Components {
  const error = pointError(quality);
  const size = Math.abs(slope);
  const { lineError, tracing = 0, thinning = 0 } = quality;
  const resolution =
    lineError === undefined ? error.resolution : Math.hypot(lineError / Math.sqrt(points), tracing, thinning);
  return { noise: (size * error.noise) / Math.sqrt(points), resolution: size * resolution };
}

/**
 * The outermost line of a noisy rim leans outward, and calming the rim draws it back, each by about σ²/edge: what is left of
 * the two is this share of it, to either side (on generated pieces), and no length of line averages it out.
 */
const LEAN = 0.3;

/** Components of an area within a line `around` mm long: a line that is out by e all round changes it by e times its length. */
export function areaComponents({ quality, outline }: Model, around: number): Components {
  const points = independentPoints(quality, around);
  const { noise = 0, resolution = 0, ...others } = outlineComponents(quality, around, points);
  const { line, meanEdge } = quality;
  const lean = line === undefined || !(meanEdge > 0) ? 0 : (LEAN * line.noise ** 2) / meanEdge;
  return {
    ...others,
    noise: Math.hypot(noise, around * lean),
    resolution:
      outline.left === undefined
        ? resolution
        : Math.hypot(resolution, chordError(outline.outer), quality.unscanned?.area ?? 0),
  };
}

/**
 * What chords miss of a scan's outline on the whole. Bulges and hollows make up for one another, unless it is scalloped: all
 * its bulges are then cusps, of which nothing is missed.
 */
function chordError(outer: Points2): number {
  const { bulge, hollow } = chordGaps(outer);
  return Math.hypot(bulge - hollow, Math.min(bulge, hollow));
}

/** Components of a distance between two places on the outer ring, each as sure as the noise left there. */
export function betweenPlaces(
  model: Model,
  a: readonly [number, number],
  b: readonly [number, number],
): Components {
  const noise = Math.hypot(noiseAt(model, ...a), noiseAt(model, ...b));
  return { noise, resolution: Math.SQRT2 * pointError(model.quality).resolution };
}

/** Standard deviation of what is left of the noise in the outer ring at the point of it nearest to a place, mm. */
export function noiseAt({ outline: { outer, left, errors }, quality }: Model, x: number, y: number): number {
  if (left !== undefined) return left.plan[nearestPoint(outer, x, y)];
  const { noise } = pointError(quality);
  return errors === undefined ? noise : Math.max(noise, errors[nearestPoint(outer, x, y)]);
}

/**
 * Whether a corner was cut off between two points, or one is round there and its top was met, the points do not tell: anything
 * between is as likely (rectangular).
 */
const CUT_DOUBT = 1 / Math.sqrt(12);

/** What the points of a scan's outline may have missed beyond one of them in a direction of unit length: standard uncertainty, mm. */
export function missedBeyond(
  { outline }: Model,
  x: number,
  y: number,
  out: readonly [number, number],
): number {
  if (outline.left === undefined) return 0;
  return CUT_DOUBT * cutBeyond(outline.outer, nearestPoint(outline.outer, x, y), ...out);
}

/**
 * Standard uncertainty of the place of an extreme point of the outer ring along the direction `out`, of unit length, in
 * which it is one, mm.
 */
export function endError(
  model: Model,
  x: number,
  y: number,
  out: readonly [number, number],
): { noise: number; resolution: number } {
  const { quality, outline } = model;
  if (outline.left !== undefined) {
    // A fit that is widened until the bend of the line shows in it is as wrong by that bend as by noise, and ends bend most.
    return {
      noise: Math.SQRT2 * noiseAt(model, x, y),
      resolution: Math.hypot(pointError(quality).resolution, missedBeyond(model, x, y, out)),
    };
  }
  const { noise, resolution } = pointError(quality);
  if (noise === 0 && resolution === 0) return { noise, resolution };
  const { outer, errors } = outline;
  const at = nearestPoint(outer, x, y);
  const factor = endFactor(outer, at, quality);
  const own = errors === undefined ? 0 : strayAtEnd(errors, at, quality.meanEdge);
  return { noise: Math.max(factor * noise, own), resolution: factor * resolution };
}

/** What errors about an end are worth there: of a corner nearby that may be the end in truth, too. */
function strayAtEnd(errors: Float64Array, at: number, edge: number): number {
  const n = errors.length;
  let most = 0;
  for (let k = -END_REACH; k <= END_REACH; k++) most = Math.max(most, errors[(at + k + END_REACH * n) % n]);
  return Math.max(most, Math.min(END_STRAY * most, END_MOST * edge));
}

/** Components of the length, and what a station at a share of it is worth in mm along y. */
export interface LengthError {
  readonly components: Components;
  at(share: number): number;
}

export function lengthError(model: Model): LengthError {
  const { outer } = model.outline;
  let [low, high] = [0, 0];
  for (let i = 0; i < outer.length; i += 2) {
    if (outer[i + 1] < outer[low + 1]) low = i;
    if (outer[i + 1] > outer[high + 1]) high = i;
  }
  const base = endError(model, outer[low], outer[low + 1], [0, -1]);
  const tip = endError(model, outer[high], outer[high + 1], [0, 1]);
  const [ofBase, ofTip] = [Math.hypot(base.noise, base.resolution), Math.hypot(tip.noise, tip.resolution)];
  return {
    components: {
      noise: Math.hypot(base.noise, tip.noise),
      resolution: Math.hypot(base.resolution, tip.resolution),
    },
    // A station lies between the two ends that it is counted from, and moves with the nearer one.
    at: (share) => Math.hypot((1 - share) * ofBase, share * ofTip),
  };
}
