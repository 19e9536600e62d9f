import type { ScanQuality } from '../trace/types.ts';
import type { Components } from './types.ts';

/** Errors of a traced outline are alike over about this many mean edges along it: the reach of what takes noise off it. */
const ALIKE_EDGES = 6;
/** What denoising leaves of the surface noise in the place of one point of the outline. */
const NOISE_LEFT = 0.3;
/** The same for an outline drawn from a picture, which is smoothed less. */
const PICTURE_LEFT = 0.5;
/** Where a line does not tell its own coarseness it may miss the true margin by up to this share of an edge: rectangular. */
const EDGE_SHARE = 0.1;

/** Standard uncertainty of the place of one point of the outline, square to it, in mm. */
export function pointError(quality: ScanQuality): { readonly noise: number; readonly resolution: number } {
  return {
    noise: (quality.lineError === undefined ? PICTURE_LEFT : NOISE_LEFT) * quality.noise,
    resolution: Math.hypot(
      quality.lineError ?? (EDGE_SHARE * quality.meanEdge) / Math.sqrt(3),
      quality.tracing ?? 0,
      quality.thinning ?? 0,
    ),
  };
}

/** How many independent errors a stretch of outline `span` mm long holds, at least one. */
export function independentPoints(quality: ScanQuality, span: number): number {
  return Math.max(1, quality.meanEdge > 0 ? span / (ALIKE_EDGES * quality.meanEdge) : 1);
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
