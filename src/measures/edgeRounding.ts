import type { EdgeAngles } from './edgeAngles.ts';

/** The edge is round where the faces would meet farther outside of the margin than this (mm), and than so many standard errors; */
const ROUNDED = 0.05;
const SURE = 3;
const LEAST_PLACES = 20;
/** and at three places of four by this much: scars scatter it about nothing, what rounds an edge does so everywhere. */
const ROUNDED_MOSTLY = 0.025;

/**
 * How far outside of the traced margin the faces would meet, median, mm; 0 where the edge is not surely round. Smoothing,
 * voxels and coarse scanning take a sharp edge off and leave a smooth rim, from which every length in plan comes out small.
 * The faces a little way in still tell where they would meet; wear rounds an edge likewise.
 */
export function edgeRounding({ beyond }: EdgeAngles): number {
  const sorted = beyond.filter((gap) => !Number.isNaN(gap)).sort();
  if (sorted.length < LEAST_PLACES) return 0;
  const at = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))];
  const gap = at(0.5);
  // Of a median of normal scatter: √(π/2)·σ/√n, with σ from the quartiles.
  const error = (Math.sqrt(Math.PI / 2) * (at(0.75) - at(0.25))) / 1.349 / Math.sqrt(sorted.length);
  return gap < ROUNDED || gap < SURE * error || at(0.25) < ROUNDED_MOSTLY ? 0 : gap;
}
