/**
 * Takes noise off a closed line without rounding its corners.
 *
 * Each point is replaced by a local quadratic fit over arc length. The width of the fit is chosen point by point by the
 * intersection-of-confidence-intervals rule (Goldenshluger & Nemirovski 1997; Katkovnik 1999): widen until an estimate
 * disagrees with a narrower one by more than noise explains. Fits to both sides serve smooth stretches; fits to one side
 * alone serve points beside a corner. Without noise nothing is changed.
 */
export interface ClosedLine {
  /** One array per coordinate, n long each. */
  readonly channels: readonly Float64Array[];
  /** Arc length of each point from the first, rising; `length` closes the round. */
  readonly arc: Float64Array;
  readonly length: number;
}

export interface Smoothed {
  readonly channels: readonly Float64Array[];
  /** Standard deviation of what is left of the noise, per point. */
  readonly sigma: Float64Array;
}

/** How many standard errors two estimates may lie apart before the wider one is refused. */
const CONFIDENCE = 2;
/** The same for a two-sided fit against the one-sided ones; strict, since to refuse it costs little. */
const CORNER_CONFIDENCE = 1.6;
const WIDTHS = [2.5, 4, 6, 9, 13, 19, 28];

/** @param sigma standard deviation of the noise in each coordinate; @param widest in the unit of arc length. */
export function smoothClosedLine(line: ClosedLine, sigma: number, widest: number): Smoothed {
  const n = line.arc.length;
  const out = line.channels.map((c) => Float64Array.from(c));
  const left = new Float64Array(n).fill(sigma);
  if (!(sigma > 0) || n < 8) return { channels: out, sigma: left };
  const spacing = line.length / n;
  const widths = WIDTHS.map((w) => w * spacing).filter((w, i) => i === 0 || w <= widest);
  const fit = new LocalFit(line);
  const dims = line.channels.length;
  const best = { value: new Float64Array(dims), variance: 0 };
  const ahead = { value: new Float64Array(dims), variance: 0 };
  const behind = { value: new Float64Array(dims), variance: 0 };
  const sides = new Float64Array(dims);
  for (let i = 0; i < n; i++) {
    widestAgreed(fit, i, widths, 1, 1, sigma, best);
    widestAgreed(fit, i, widths, 0, 1, sigma, ahead);
    widestAgreed(fit, i, widths, 1, 0, sigma, behind);
    const fused = 1 / (1 / ahead.variance + 1 / behind.variance);
    // A corner pulls the two-sided fit inward long before it disagrees with the point itself: one-sided fits judge it.
    let apart = 0;
    for (let d = 0; d < dims; d++) {
      sides[d] = fused * (ahead.value[d] / ahead.variance + behind.value[d] / behind.variance);
      apart = Math.max(apart, Math.abs(sides[d] - best.value[d]));
    }
    if (fused < best.variance || apart > CORNER_CONFIDENCE * sigma * Math.sqrt(fused + best.variance)) {
      for (let d = 0; d < dims; d++) out[d][i] = sides[d];
      left[i] = sigma * Math.sqrt(fused);
    } else {
      for (let d = 0; d < dims; d++) out[d][i] = best.value[d];
      left[i] = sigma * Math.sqrt(best.variance);
    }
  }
  return { channels: out, sigma: left };
}

interface Estimate {
  readonly value: Float64Array;
  /** Of the estimate, in units of sigma². */
  variance: number;
}

/** Widens the fit at point i while all estimates so far agree; leaves the last agreed one in `into`. */
function widestAgreed(
  fit: LocalFit,
  i: number,
  widths: readonly number[],
  backShare: number,
  aheadShare: number,
  sigma: number,
  into: Estimate,
): void {
  const dims = into.value.length;
  const low = new Float64Array(dims);
  const high = new Float64Array(dims);
  for (let d = 0; d < dims; d++) {
    const raw = fit.line.channels[d][i];
    into.value[d] = raw;
    low[d] = raw - CONFIDENCE * sigma;
    high[d] = raw + CONFIDENCE * sigma;
  }
  into.variance = 1;
  for (const width of widths) {
    if (!fit.at(i, width * backShare, width * aheadShare)) continue;
    if (fit.variance >= into.variance) continue;
    const reach = CONFIDENCE * sigma * Math.sqrt(fit.variance);
    let agreed = true;
    for (let d = 0; d < dims; d++) {
      low[d] = Math.max(low[d], fit.value[d] - reach);
      high[d] = Math.min(high[d], fit.value[d] + reach);
      if (low[d] > high[d]) agreed = false;
    }
    if (!agreed) return;
    into.value.set(fit.value);
    into.variance = fit.variance;
  }
}

/** Local quadratic least squares over arc length about one point of a closed line. */
class LocalFit {
  readonly line: ClosedLine;
  readonly value: Float64Array;
  variance = 1;

  constructor(line: ClosedLine) {
    this.line = line;
    this.value = new Float64Array(line.channels.length);
  }

  /** Fits points from `back` before to `ahead` after point i. False where there are too few to smooth. */
  at(i: number, back: number, ahead: number): boolean {
    const { arc, length, channels } = this.line;
    const n = arc.length;
    const here = arc[i];
    const scale = Math.max(back, ahead);
    let first = 0;
    while (first < n / 3 && distanceBack(arc, length, n, i, first + 1) <= back) first++;
    let last = 0;
    while (last < n / 3 && distanceBack(arc, length, n, (i + last + 1) % n, last + 1) <= ahead) last++;
    const count = first + last + 1;
    if (count < 5) return false;
    let s1 = 0;
    let s2 = 0;
    let s3 = 0;
    let s4 = 0;
    for (let k = -first; k <= last; k++) {
      const u = offset(arc, length, n, i, k, here) / scale;
      s1 += u;
      s2 += u * u;
      s3 += u * u * u;
      s4 += u * u * u * u;
    }
    const s0 = count;
    // First row of the inverse of the normal matrix: the weights of the fit's value at u = 0.
    const c0 = s2 * s4 - s3 * s3;
    const c1 = s2 * s3 - s1 * s4;
    const c2 = s1 * s3 - s2 * s2;
    const det = s0 * c0 + s1 * c1 + s2 * c2;
    if (!(Math.abs(det) > 1e-12)) return false;
    this.value.fill(0);
    for (let k = -first; k <= last; k++) {
      const u = offset(arc, length, n, i, k, here) / scale;
      const w = (c0 + c1 * u + c2 * u * u) / det;
      const j = (i + k + n) % n;
      for (let d = 0; d < channels.length; d++) this.value[d] += w * channels[d][j];
    }
    this.variance = c0 / det;
    return true;
  }
}

function offset(arc: Float64Array, length: number, n: number, i: number, k: number, here: number): number {
  const j = i + k;
  if (j < 0) return arc[j + n] - length - here;
  if (j >= n) return arc[j - n] + length - here;
  return arc[j] - here;
}

/** Arc length from point i − steps to point i. */
function distanceBack(arc: Float64Array, length: number, n: number, i: number, steps: number): number {
  const j = i - steps;
  return j >= 0 ? arc[i] - arc[j] : arc[i] + length - arc[((j % n) + n) % n];
}

/**
 * Standard deviation of point-to-point noise in a closed line, across the line where it has two coordinates or more.
 * From differences that cancel slope and curvature; the median keeps corners from counting.
 */
export function lineNoise(line: ClosedLine): number {
  const n = line.arc.length;
  if (n < 16) return 0;
  const dims = line.channels.length;
  const residual = line.channels.map(() => new Float64Array(n));
  for (let i = 0; i < n; i++) {
    const a = distanceBack(line.arc, line.length, n, i, 1);
    const b = distanceBack(line.arc, line.length, n, (i + 1) % n, 1);
    const w = a + b > 0 ? b / (a + b) : 0.5;
    for (let d = 0; d < dims; d++) {
      const c = line.channels[d];
      residual[d][i] = c[i] - w * c[(i + n - 1) % n] - (1 - w) * c[(i + 1) % n];
    }
  }
  const size = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const before = (i + n - 1) % n;
    const after = (i + 1) % n;
    if (dims === 1) {
      const r = residual[0];
      size[i] = Math.abs(r[i] - (r[before] + r[after]) / 2);
      continue;
    }
    // Across the local direction: spacing along the line is not noise.
    const tx = line.channels[0][(i + 2) % n] - line.channels[0][(i + n - 2) % n];
    const ty = line.channels[1][(i + 2) % n] - line.channels[1][(i + n - 2) % n];
    const t = Math.hypot(tx, ty) || 1;
    const across = (k: number): number => (residual[1][k] * tx - residual[0][k] * ty) / t;
    size[i] = Math.abs(across(i) - (across(before) + across(after)) / 2);
  }
  size.sort();
  // 0.6745: median of |N(0, 1)|. √4.375: norm of the filter ¼, −1, 1½, −1, ¼.
  return size[n >> 1] / 0.6745 / Math.sqrt(4.375);
}
