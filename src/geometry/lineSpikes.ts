import { type ClosedLine, distanceBack } from './closedLine.ts';

/** Standard deviations by which a point must stand off the line between its neighbours, beyond what these differ by. */
const SPIKE = 4;
/** A side that, carried straight on, goes this share of the way from its neighbours to a point leads up to it. */
const LEADS = 0.5;

/**
 * Values along a closed line with single points put between their neighbours where they stand off both by far more than
 * noise does, and neither side leads up to them. A contour that folds over itself takes the height of either fold where the
 * two cross; no fit that believes the point can take that off. To the cusp between two flake scars, which is the margin's own,
 * at least one of its sides climbs. Without noise nothing is changed.
 *
 * @param line of one channel, one value for each point in order; @param sigma standard deviation of their noise, in their unit
 */
export function withoutSpikes({ channels: [values], arc, length }: ClosedLine, sigma: number): Float64Array {
  const out = Float64Array.from(values);
  const n = values.length;
  if (!(sigma > 0) || n < 6) return out;
  // A point less the mean of two: the variance of one and a half.
  const least = SPIKE * Math.sqrt(1.5) * sigma;
  for (let i = 0; i < n; i++) {
    const b = (i + n - 1) % n;
    const a = (i + 1) % n;
    const middle = (values[b] + values[a]) / 2;
    const off = values[i] - middle;
    if (!(Math.abs(off) > least + Math.abs(values[a] - values[b]))) continue;
    const b2 = (i + n - 2) % n;
    const a2 = (i + 2) % n;
    const toward = (near: number, far: number, gap: number, before: number): number =>
      before > 0 ? (values[near] + ((values[near] - values[far]) * gap) / before - middle) / off : 0;
    const back = distanceBack(arc, length, n, i, 1);
    const ahead = distanceBack(arc, length, n, a, 1);
    const leads = Math.max(
      toward(b, b2, back, distanceBack(arc, length, n, b, 1)),
      toward(a, a2, ahead, distanceBack(arc, length, n, a2, 1)),
    );
    if (leads < LEADS) out[i] = middle;
  }
  return out;
}
