import { type ClosedLine, distanceBack } from './closedLine.ts';

/** Local quadratic least squares over arc length about one point of a closed line, over stretches that only grow. */
export class LocalFit {
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
