import type { ClosedLine } from './closedLine.ts';
import { roomToCorners } from './lineCorners.ts';
import { LocalFit } from './localLineFit.ts';

export interface Smoothed {
  readonly channels: readonly Float64Array[];
  /** Standard deviation of what is left of the noise, per point. */
  readonly sigma: Float64Array;
}

/** How many standard errors two estimates may lie apart before the wider one is refused. */
const CONFIDENCE = 2;
/** Half-widths of the fits tried, in mean spacings. */
const WIDTHS = [2.5, 4, 6, 9, 13, 19, 28];

/**
 * Takes noise off a closed line without rounding its corners.
 *
 * Each point is replaced by a local quadratic fit over arc length. The width of the fit is chosen point by point by the
 * intersection-of-confidence-intervals rule (Goldenshluger & Nemirovski 1997; Katkovnik 1999): widen until an estimate
 * disagrees with a narrower one by more than noise explains. No fit reaches across a corner. Without noise nothing is
 * changed.
 *
 * @param sigma standard deviation of the noise in each coordinate
 * @param widest half-width of the widest fit, in the unit of arc length
 * @param corners points that no fit reaches across
 */
export function smoothClosedLine(
  line: ClosedLine,
  sigma: number,
  widest: number,
  corners: readonly number[] = [],
): Smoothed {
  const n = line.arc.length;
  const dims = line.channels.length;
  const out = line.channels.map((c) => Float64Array.from(c));
  const left = new Float64Array(n).fill(sigma);
  if (!(sigma > 0) || n < 8) return { channels: out, sigma: left };
  const spacing = line.length / n;
  const widths = Float64Array.from(WIDTHS, (w) => w * spacing).filter((w, i) => i === 0 || w <= widest);
  const fit = new LocalFit(line, widths);
  const room = roomToCorners(line, corners);
  const isCorner = new Set(corners);
  const best = noEstimate(dims);
  const behind = noEstimate(dims);
  for (let i = 0; i < n; i++) {
    if (isCorner.has(i)) {
      // A corner is where the lines of its two sides meet: each side tells by its own.
      widestAgreed(fit, i, 0, room.ahead[i], sigma, best);
      widestAgreed(fit, i, room.back[i], 0, sigma, behind);
      const fused = 1 / (1 / best.variance + 1 / behind.variance);
      for (let d = 0; d < dims; d++) {
        out[d][i] = fused * (best.value[d] / best.variance + behind.value[d] / behind.variance);
      }
      left[i] = sigma * Math.sqrt(fused);
    } else {
      widestAgreed(fit, i, room.back[i], room.ahead[i], sigma, best);
      for (let d = 0; d < dims; d++) out[d][i] = best.value[d];
      left[i] = sigma * Math.sqrt(best.variance);
    }
  }
  return { channels: out, sigma: left };
}

interface Estimate {
  readonly value: Float64Array;
  /** Between these lies what all estimates so far agree on. */
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** Of the estimate, in units of sigma². */
  variance: number;
}

function noEstimate(dims: number): Estimate {
  const [value, low, high] = [0, 1, 2].map(() => new Float64Array(dims));
  return { value, low, high, variance: 0 };
}

/** Widens the fit at point i while all estimates so far agree; leaves the last agreed one in `into`. */
function widestAgreed(
  fit: LocalFit,
  i: number,
  backRoom: number,
  aheadRoom: number,
  sigma: number,
  into: Estimate,
): void {
  const { value, low, high } = into;
  const { value: fitted, widths } = fit;
  const dims = low.length;
  for (let d = 0; d < dims; d++) {
    const raw = fit.line.channels[d][i];
    value[d] = raw;
    low[d] = raw - CONFIDENCE * sigma;
    high[d] = raw + CONFIDENCE * sigma;
  }
  into.variance = 1;
  fit.begin(i, backRoom, aheadRoom);
  for (let k = 0; k < widths.length; k++) {
    if (!fit.at(k)) continue;
    if (fit.variance >= into.variance) continue;
    const reach = CONFIDENCE * sigma * Math.sqrt(fit.variance);
    let agreed = true;
    for (let d = 0; d < dims; d++) {
      low[d] = Math.max(low[d], fitted[d] - reach);
      high[d] = Math.min(high[d], fitted[d] + reach);
      if (low[d] > high[d]) agreed = false;
    }
    if (!agreed) return;
    // One by one: there are two or three.
    for (let d = 0; d < dims; d++) value[d] = fitted[d];
    into.variance = fit.variance;
  }
}
