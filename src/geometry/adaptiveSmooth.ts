/**
 * Takes noise off a closed line without rounding its corners.
 *
 * Each point is replaced by a local quadratic fit over arc length. The width of the fit is chosen point by point by the
 * intersection-of-confidence-intervals rule (Goldenshluger & Nemirovski 1997; Katkovnik 1999): widen until an estimate
 * disagrees with a narrower one by more than noise explains. No fit reaches across a corner. Without noise nothing is
 * changed.
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
/** Half-widths of the fits tried, in mean spacings. */
const WIDTHS = [2.5, 4, 6, 9, 13, 19, 28];
/** A line that turns by more than this between its two sides has a corner there. */
const CORNER = (25 * Math.PI) / 180;
/** Uncertainty to which the direction of either side must be known to judge a corner. */
const DIRECTION_SIGMA = (4 * Math.PI) / 180;

/** @param sigma standard deviation of the noise in each coordinate; @param widest in the unit of arc length. */
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
  const widths = WIDTHS.map((w) => w * spacing).filter((w, i) => i === 0 || w <= widest);
  const fit = new LocalFit(line);
  const room = roomToCorners(line, corners);
  const isCorner = new Set(corners);
  const best = noEstimate(dims);
  const behind = noEstimate(dims);
  for (let i = 0; i < n; i++) {
    if (isCorner.has(i)) {
      // A corner is where the lines of its two sides meet: each side tells by its own.
      widestAgreed(fit, i, widths, 0, room.ahead[i], sigma, best);
      widestAgreed(fit, i, widths, room.back[i], 0, sigma, behind);
      const fused = 1 / (1 / best.variance + 1 / behind.variance);
      for (let d = 0; d < dims; d++) {
        out[d][i] = fused * (best.value[d] / best.variance + behind.value[d] / behind.variance);
      }
      left[i] = sigma * Math.sqrt(fused);
    } else {
      widestAgreed(fit, i, widths, room.back[i], room.ahead[i], sigma, best);
      for (let d = 0; d < dims; d++) out[d][i] = best.value[d];
      left[i] = sigma * Math.sqrt(best.variance);
    }
  }
  return { channels: out, sigma: left };
}

/**
 * Points at which a closed line in the plane turns sharply: the directions of the stretches before and after, each as
 * long as the noise demands, differ by more than CORNER. Of neighbours within a stretch only the sharpest counts.
 */
export function findCorners(line: ClosedLine, sigma: number): number[] {
  const n = line.arc.length;
  const spacing = line.length / n;
  const [x, y] = line.channels;
  // Slope of m equally spaced points: standard error σ √12 / (m^1.5 · spacing).
  const wanted = ((sigma * Math.sqrt(12)) / (spacing * DIRECTION_SIGMA)) ** (2 / 3);
  const m = Math.min(Math.max(4, Math.ceil(wanted)), Math.floor(n / 8));
  if (m < 4) return [];
  const turn = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = direction(x, y, i, m);
    const b = direction(x, y, i, -m);
    const raw = a - b - Math.PI;
    turn[i] = Math.abs(Math.atan2(Math.sin(raw), Math.cos(raw)));
  }
  const corners: number[] = [];
  for (let i = 0; i < n; i++) {
    if (turn[i] < CORNER) continue;
    let sharpest = true;
    for (let k = 1; k <= m && sharpest; k++) {
      if (turn[(i + k) % n] > turn[i] || turn[(i - k + n) % n] >= turn[i]) sharpest = false;
    }
    if (sharpest) corners.push(i);
  }
  return corners;
}

/** Direction from point i along the m points after it (before it, where m is negative), by total least squares. */
function direction(x: Float64Array, y: Float64Array, i: number, m: number): number {
  const n = x.length;
  const step = Math.sign(m);
  const count = Math.abs(m) + 1;
  let sx = 0;
  let sy = 0;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let k = 0; k < count; k++) {
    const j = (i + step * k + n) % n;
    const dx = x[j] - x[i];
    const dy = y[j] - y[i];
    sx += dx;
    sy += dy;
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  }
  const angle =
    Math.atan2(2 * (xy - (sx * sy) / count), xx - (sx * sx) / count - (yy - (sy * sy) / count)) / 2;
  return Math.cos(angle) * sx + Math.sin(angle) * sy >= 0 ? angle : angle + Math.PI;
}

/** Arc length from each point back and ahead to the nearest corner; Infinity without corners. */
export function roomToCorners(
  line: ClosedLine,
  corners: readonly number[],
): { back: Float64Array; ahead: Float64Array } {
  const n = line.arc.length;
  const back = new Float64Array(n).fill(Infinity);
  const ahead = new Float64Array(n).fill(Infinity);
  if (corners.length === 0) return { back, ahead };
  const k = corners.length;
  for (let c = 0; c < k; c++) {
    const from = corners[c];
    const to = corners[(c + 1) % k];
    const start = line.arc[from];
    const span = ((to - from + n - 1) % n) + 1;
    const end = start + distanceBack(line.arc, line.length, n, to, span === n ? n : span);
    for (let s = 0; s <= span; s++) {
      const i = (from + s) % n;
      const here = line.arc[i] + (line.arc[i] < start || (s > 0 && i === from) ? line.length : 0);
      if (s > 0) back[i] = here - start;
      if (s < span) ahead[i] = end - here;
    }
  }
  return { back, ahead };
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
  widths: readonly number[],
  backRoom: number,
  aheadRoom: number,
  sigma: number,
  into: Estimate,
): void {
  const { low, high } = into;
  const dims = low.length;
  for (let d = 0; d < dims; d++) {
    const raw = fit.line.channels[d][i];
    into.value[d] = raw;
    low[d] = raw - CONFIDENCE * sigma;
    high[d] = raw + CONFIDENCE * sigma;
  }
  into.variance = 1;
  fit.begin(i);
  for (const width of widths) {
    if (!fit.at(Math.min(width, backRoom), Math.min(width, aheadRoom))) continue;
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

/** Local quadratic least squares over arc length about one point of a closed line, over stretches that only grow. */
class LocalFit {
  readonly line: ClosedLine;
  readonly value: Float64Array;
  variance = 1;
  /** The point, and how many points before and after it are counted in. */
  private i = 0;
  private first = 0;
  private last = 0;
  /** Sums of powers of the distance, 0…4, and of each coordinate's difference from the point times its powers, 0…2. */
  private readonly powers = new Float64Array(5);
  private readonly moments: Float64Array;

  constructor(line: ClosedLine) {
    this.line = line;
    this.value = new Float64Array(line.channels.length);
    this.moments = new Float64Array(3 * line.channels.length);
  }

  /** Starts again at point i. */
  begin(i: number): void {
    this.i = i;
    this.first = 0;
    this.last = 0;
    this.powers.fill(0);
    this.powers[0] = 1;
    this.moments.fill(0);
  }

  /** Fits points from `back` before to `ahead` after the point, neither less than before. False where there are too few to smooth. */
  at(back: number, ahead: number): boolean {
    const { arc, length, channels } = this.line;
    const { i, powers, moments } = this;
    const n = arc.length;
    const most = n / 3;
    const here = arc[i];
    while (this.first < most) {
      const j = i - this.first - 1;
      if ((j >= 0 ? here - arc[j] : distanceBack(arc, length, n, i, this.first + 1)) > back) break;
      this.add(-++this.first);
    }
    while (this.last < most) {
      const j = i + this.last + 1;
      if ((j < n ? arc[j] - here : distanceBack(arc, length, n, j % n, this.last + 1)) > ahead) break;
      this.add(++this.last);
    }
    if (this.first + this.last + 1 < 5) return false;
    // Distances as shares of the reach, so that the test of the determinant knows no unit.
    const scale = Math.max(back, ahead);
    const square = scale * scale;
    const s0 = powers[0];
    const s1 = powers[1] / scale;
    const s2 = powers[2] / square;
    const s3 = powers[3] / (square * scale);
    const s4 = powers[4] / (square * square);
    // First row of the inverse of the normal matrix: the weights of the fit's value at u = 0.
    const c0 = s2 * s4 - s3 * s3;
    const c1 = s2 * s3 - s1 * s4;
    const c2 = s1 * s3 - s2 * s2;
    const det = s0 * c0 + s1 * c1 + s2 * c2;
    if (!(Math.abs(det) > 1e-12)) return false;
    for (let d = 0; d < channels.length; d++) {
      const k = 3 * d;
      this.value[d] =
        channels[d][i] +
        (c0 * moments[k] + (c1 * moments[k + 1]) / scale + (c2 * moments[k + 2]) / square) / det;
    }
    this.variance = c0 / det;
    return true;
  }

  /** Counts in the point k points on. */
  private add(k: number): void {
    const { arc, length, channels } = this.line;
    const { i, powers, moments } = this;
    const n = arc.length;
    const at = i + k;
    const within = at >= 0 && at < n;
    const u = within ? arc[at] - arc[i] : offset(arc, length, n, i, k, arc[i]);
    const uu = u * u;
    powers[0]++;
    powers[1] += u;
    powers[2] += uu;
    powers[3] += uu * u;
    powers[4] += uu * uu;
    const j = within ? at : (at + n) % n;
    for (let d = 0; d < channels.length; d++) {
      const value = channels[d][j] - channels[d][i];
      moments[3 * d] += value;
      moments[3 * d + 1] += u * value;
      moments[3 * d + 2] += uu * value;
    }
  }
}

function offset(arc: Float64Array, length: number, n: number, i: number, k: number, here: number): number {
  const j = i + k;
  if (j < 0) return arc[j + n] - length - here;
  if (j >= n) return arc[j - n] + length - here;
  return arc[j] - here;
}

/** Arc length from point i − steps to point i. */
export function distanceBack(arc: Float64Array, length: number, n: number, i: number, steps: number): number {
  const j = i - steps;
  if (steps >= n) return length;
  return j >= 0 ? arc[i] - arc[j] : arc[i] + length - arc[((j % n) + n) % n];
}

/**
 * Standard deviation of point-to-point noise in a closed line, across the line where it has two coordinates or more.
 * From differences that cancel slope and curvature, between points `lag` steps apart; the median keeps corners from counting.
 */
export function lineNoise(line: ClosedLine, lag = 1): number {
  const n = line.arc.length;
  if (n < 16 * lag) return 0;
  const { channels } = line;
  const size =
    channels.length === 1
      ? straysAlong(offChord(line, channels[0], lag), lag)
      : straysAcross(
          channels[0],
          channels[1],
          offChord(line, channels[0], lag),
          offChord(line, channels[1], lag),
          lag,
        );
  size.sort();
  // 0.6745: median of |N(0, 1)|. √4.375: norm of the filter ¼, −1, 1½, −1, ¼.
  return size[n >> 1] / 0.6745 / Math.sqrt(4.375);
}

/** How far each point of one coordinate lies off the chord between the points `lag` steps before and after it. */
function offChord({ arc, length }: ClosedLine, c: Float64Array, lag: number): Float64Array {
  const n = arc.length;
  const residual = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = distanceBack(arc, length, n, i, lag);
    const b = distanceBack(arc, length, n, (i + lag) % n, lag);
    const w = a + b > 0 ? b / (a + b) : 0.5;
    residual[i] = c[i] - w * c[(i + n - lag) % n] - (1 - w) * c[(i + lag) % n];
  }
  return residual;
}

/** The same less that of the points `lag` steps off, which cancels curvature; magnitudes. */
function straysAlong(r: Float64Array, lag: number): Float64Array {
  const n = r.length;
  const size = new Float64Array(n);
  for (let i = 0; i < n; i++) size[i] = Math.abs(r[i] - (r[(i + n - lag) % n] + r[(i + lag) % n]) / 2);
  return size;
}

/** The same across the local direction of a line in the plane: spacing along the line is not noise. */
function straysAcross(
  x: Float64Array,
  y: Float64Array,
  rx: Float64Array,
  ry: Float64Array,
  lag: number,
): Float64Array {
  const n = x.length;
  const size = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const before = (i + n - lag) % n;
    const after = (i + lag) % n;
    const tx = x[(i + 2 * lag) % n] - x[(i + n - 2 * lag) % n];
    const ty = y[(i + 2 * lag) % n] - y[(i + n - 2 * lag) % n];
    const t = Math.hypot(tx, ty) || 1;
    const here = (ry[i] * tx - rx[i] * ty) / t;
    const one = (ry[before] * tx - rx[before] * ty) / t;
    const other = (ry[after] * tx - rx[after] * ty) / t;
    size[i] = Math.abs(here - (one + other) / 2);
  }
  return size;
}
