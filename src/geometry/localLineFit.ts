import type { ClosedLine } from './closedLine.ts';

/** Local quadratic least squares over arc length about one point of a closed line, over stretches that only grow. */
export class LocalFit {
  readonly line: ClosedLine;
  /** Half-widths of the stretches, in the unit of arc length, each more than the last. */
  readonly widths: Float64Array;
  readonly value: Float64Array;
  variance = 1;
  /** The line with a third of it again before and behind, so that no stretch passes its end. */
  private readonly before: number;
  private readonly arc: Float64Array;
  private readonly channels: readonly Float64Array[];
  /** The point, and the first and the last that are counted in. */
  private i = 0;
  private first = 0;
  private last = 0;
  /** How far a stretch may reach before and after the point. */
  private backRoom = Infinity;
  private aheadRoom = Infinity;
  /** Sums of powers of the distance, 0…4, and of each coordinate's difference from the point times its powers, 0…2. */
  private readonly powers = new Float64Array(5);
  private readonly moments: Float64Array;

  constructor(line: ClosedLine, widths: Float64Array) {
    this.line = line;
    this.widths = widths;
    this.value = new Float64Array(line.channels.length);
    this.moments = new Float64Array(3 * line.channels.length);
    this.before = Math.ceil(line.arc.length / 3);
    this.arc = repeated(line.arc, this.before, line.length);
    this.channels = line.channels.map((channel) => repeated(channel, this.before, 0));
  }

  /** Starts again at point i; no stretch reaches farther before and after it than so. */
  begin(i: number, backRoom: number, aheadRoom: number): void {
    this.i = i + this.before;
    this.backRoom = backRoom;
    this.aheadRoom = aheadRoom;
    this.first = this.i;
    this.last = this.i;
    const { powers, moments } = this;
    powers[0] = 1;
    for (let k = 1; k < powers.length; k++) powers[k] = 0;
    for (let k = 0; k < moments.length; k++) moments[k] = 0;
  }

  /** Fits the points within the k-th width, as far as there is room; widths only grow. False where there are too few to smooth. */
  at(k: number): boolean {
    const { i, powers, moments, arc } = this;
    const back = Math.min(this.widths[k], this.backRoom);
    const ahead = Math.min(this.widths[k], this.aheadRoom);
    const here = arc[i];
    let first = this.first;
    let last = this.last;
    while (first > i - this.before && here - arc[first - 1] <= back) first--;
    while (last < i + this.before && arc[last + 1] - here <= ahead) last++;
    this.add(first, this.first - 1);
    this.add(this.last + 1, last);
    this.first = first;
    this.last = last;
    if (last - first < 4) return false;
    // Distances as shares of the reach, so that the test of the determinant knows no unit.
    const share = 1 / Math.max(back, ahead);
    const square = share * share;
    const s0 = powers[0];
    const s1 = powers[1] * share;
    const s2 = powers[2] * square;
    const s3 = powers[3] * (square * share);
    const s4 = powers[4] * (square * square);
    // First row of the inverse of the normal matrix: the weights of the fit's value at u = 0.
    const c0 = s2 * s4 - s3 * s3;
    const c1 = s2 * s3 - s1 * s4;
    const c2 = s1 * s3 - s2 * s2;
    const det = s0 * c0 + s1 * c1 + s2 * c2;
    if (!(Math.abs(det) > 1e-12)) return false;
    const one = 1 / det;
    const weight = c1 * share;
    const bend = c2 * square;
    for (let d = 0, m = 0; d < this.channels.length; d++, m += 3) {
      this.value[d] =
        this.channels[d][i] + (c0 * moments[m] + weight * moments[m + 1] + bend * moments[m + 2]) * one;
    }
    this.variance = c0 * one;
    return true;
  }

  /** Counts in some points in a row. */
  private add(from: number, to: number): void {
    if (to < from) return;
    const { i, arc, channels, powers, moments } = this;
    const here = arc[i];
    // With the first channel, so that few points are gone through once less.
    const first = channels[0];
    const own = first[i];
    let p1 = powers[1];
    let p2 = powers[2];
    let p3 = powers[3];
    let p4 = powers[4];
    let m0 = moments[0];
    let m1 = moments[1];
    let m2 = moments[2];
    for (let j = from; j <= to; j++) {
      const u = arc[j] - here;
      const uu = u * u;
      const value = first[j] - own;
      p1 += u;
      p2 += uu;
      p3 += uu * u;
      p4 += uu * uu;
      m0 += value;
      m1 += u * value;
      m2 += uu * value;
    }
    powers[0] += to - from + 1;
    powers[1] = p1;
    powers[2] = p2;
    powers[3] = p3;
    powers[4] = p4;
    moments[0] = m0;
    moments[1] = m1;
    moments[2] = m2;
    for (let d = 1; d < channels.length; d++) this.addChannel(d, from, to);
  }

  private addChannel(d: number, from: number, to: number): void {
    const { i, arc, moments } = this;
    const channel = this.channels[d];
    const here = arc[i];
    const own = channel[i];
    let m0 = moments[3 * d];
    let m1 = moments[3 * d + 1];
    let m2 = moments[3 * d + 2];
    for (let j = from; j <= to; j++) {
      const u = arc[j] - here;
      const value = channel[j] - own;
      m0 += value;
      m1 += u * value;
      m2 += u * u * value;
    }
    moments[3 * d] = m0;
    moments[3 * d + 1] = m1;
    moments[3 * d + 2] = m2;
  }
}

/** Values round a closed line with `more` of them again before and behind, each round `step` higher than the last. */
function repeated(values: Float64Array, more: number, step: number): Float64Array {
  const n = values.length;
  const out = new Float64Array(n + 2 * more);
  out.set(values, more);
  for (let k = 0; k < more; k++) {
    out[k] = values[n - more + k] - step;
    out[more + n + k] = values[k] + step;
  }
  return out;
}
