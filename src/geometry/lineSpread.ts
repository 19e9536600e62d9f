import type { ClosedLine } from './closedLine.ts';
import { lineNoise } from './lineNoise.ts';

/** Noise of a line whose points may err alike with their neighbours. */
export interface LineSpread {
  /** Standard deviation of one point, across the line. */
  readonly sigma: number;
  /** How many neighbouring points err as one; 1 where each errs by itself. */
  readonly alike: number;
  /** `sigma` over what neighbours alone would tell: they hardly differ where they err alike. */
  readonly growth: number;
}

/** Steps between the points that are compared. */
const LAGS = [1, 2, 3, 4, 6];
/** Noise has come to its full size where over twice the lag it grows by less than this; what is shape grows eightfold. */
const FULL = 1.4;
/** A line is rough by itself, scalloped by flake scars, where its next points stand off by this many times the surface's noise. */
const ROUGH = 2.5;
/** Less growth than this is chance. */
const LEAST_GROWTH = 2;
/** Errors of a scanner that are alike over a stretch are at most this share of it: its surfaces lean by no more. */
const STEEPEST = 0.3;
/** Points err alike over this many times the lag at which their differences come to full size: a bell-shaped likeness. */
const REACH = 1.5;

/**
 * Reads off a line how large its noise is and over how many points it is alike, as photogrammetry and smoothing leave it.
 * Differences between points farther and farther apart grow until they share no noise, and then stay; those of a smooth
 * line without noise never stop growing.
 *
 * @param least noise smaller than this, in the unit of the line, is taken as each point's own
 * @param surface noise of next points of the surface that the line runs on: where the line is far rougher, that is its shape
 * @param most noise that neighbours share is no larger than this on that surface: what is, is the line's shape
 */
export function lineSpread(line: ClosedLine, least: number, surface: number, most = Infinity): LineSpread {
  const own = lineNoise(line);
  if (own > ROUGH * surface) return { sigma: surface, alike: 1, growth: 1 };
  for (const lag of LAGS) {
    const near = lineNoise(line, lag);
    const full = lineNoise(line, 2 * lag);
    if (full > FULL * near) continue;
    // The first lag at which it stays decides: what grows later on is shape, and so is what winds like no scanner's error.
    const steep = full > STEEPEST * lag * (line.length / line.arc.length);
    if (lag === 1 || full < LEAST_GROWTH * own || full < least || full > most || steep) break;
    return { sigma: full, alike: REACH * lag, growth: full / own };
  }
  // Where noise is not small against the steps, next points hardly know which way the line runs: two or three apart they do.
  const farther = Math.max(own, lineNoise(line, 2), lineNoise(line, 3));
  return { sigma: Math.min(farther, FULL * own), alike: 1, growth: 1 };
}
