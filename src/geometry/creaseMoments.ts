import { invertSymmetric, quadraticForm, solveSymmetric } from './leastSquares.ts';

/** Level, slope and bend along the crease; slope and bend across it on its lower and on its upper side. */
export const CREASE_TERMS = 7;
/** Places in a row of sums: of the powers of s along the crease, alone and times t and t² across it; t³ and t⁴. */
const [S, TS, TTS, T3, T4] = [0, 5, 8, 11, 12];
/** Of the values, times 1, s, s² and times t, t²; of their squares. */
const [V, VT, VV] = [13, 16, 18];
const SUMS = 19;

/** Two faces that meet in a line, fitted to samples. */
export interface CreaseFit {
  /** Of the crease's normal, radians, and its place along that. */
  readonly angle: number;
  readonly place: number;
  /** Level, slope, bend along the crease; slope and bend across it below `place` and above. */
  readonly terms: Float64Array;
  /** Sum of the squares of what the faces leave, and of how many samples. */
  readonly squares: number;
  readonly count: number;
  /** Variance of the crease's height at `s` along it, in units of that of a sample. */
  variance(s: number): number;
}

/**
 * Sums over the samples of a window in bins across a direction, from which creases square to it at any place are fitted
 * without going through the samples again.
 */
export class CreaseMoments {
  private readonly angle: number;
  private readonly bin: number;
  private readonly reach: number;
  /** Running sums: row k holds those of all bins before the k-th. */
  private readonly sums: Float64Array;
  private readonly bins: number;

  /**
   * @param window x y v of each sample, v about zero
   * @param angle of the crease's normal, radians
   * @param reach of the window, and @param bin width, in the unit of x and y
   */
  constructor(window: Float64Array, angle: number, reach: number, bin: number) {
    this.angle = angle;
    this.bin = bin;
    this.reach = reach;
    this.bins = Math.ceil((2 * reach) / bin) + 1;
    this.sums = new Float64Array((this.bins + 1) * SUMS);
    const { sums } = this;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    for (let i = 0; i < window.length; i += 3) {
      const t = window[i] * cos + window[i + 1] * sin;
      const s = -window[i] * sin + window[i + 1] * cos;
      const v = window[i + 2];
      const at = (Math.min(this.bins - 1, Math.max(0, Math.floor((t + reach) / bin))) + 1) * SUMS;
      const [ss, tt] = [s * s, t * t];
      sums[at] += 1;
      sums[at + 1] += s;
      sums[at + 2] += ss;
      sums[at + 3] += ss * s;
      sums[at + 4] += ss * ss;
      sums[at + 5] += t;
      sums[at + 6] += t * s;
      sums[at + 7] += t * ss;
      sums[at + 8] += tt;
      sums[at + 9] += tt * s;
      sums[at + 10] += tt * ss;
      sums[at + 11] += tt * t;
      sums[at + 12] += tt * tt;
      sums[at + 13] += v;
      sums[at + 14] += v * s;
      sums[at + 15] += v * ss;
      sums[at + 16] += v * t;
      sums[at + 17] += v * tt;
      sums[at + 18] += v * v;
    }
    for (let i = SUMS; i < sums.length; i++) sums[i] += sums[i - SUMS];
  }

  /**
   * Least squares of two faces that meet at `place`, each a parabola across it, without the samples within `gap` of it.
   * Undefined where either side has fewer than `least` samples, or the fit is singular.
   */
  fit(place: number, gap: number, least: number): CreaseFit | undefined {
    const lower = this.side(0, this.before(place - gap), place);
    const upper = this.side(this.before(place + gap), this.bins, place);
    if (Math.min(lower[S], upper[S]) < least) return undefined;
    const n = CREASE_TERMS;
    const normal = new Float64Array(n * n);
    const right = new Float64Array(n);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) normal[n * i + j] = lower[S + i + j] + upper[S + i + j];
      right[i] = lower[V + i] + upper[V + i];
    }
    for (const [at, side] of [
      [3, lower],
      [5, upper],
    ] as const) {
      for (let i = 0; i < 3; i++) {
        normal[n * at + i] = normal[n * i + at] = side[TS + i];
        normal[n * (at + 1) + i] = normal[n * i + at + 1] = side[TTS + i];
      }
      normal[n * at + at] = side[TTS];
      normal[n * at + at + 1] = normal[n * (at + 1) + at] = side[T3];
      normal[n * (at + 1) + at + 1] = side[T4];
      right[at] = side[VT];
      right[at + 1] = side[VT + 1];
    }
    const terms = solveSymmetric(normal, right);
    if (terms === undefined) return undefined;
    let squares = lower[VV] + upper[VV];
    for (let i = 0; i < n; i++) squares -= terms[i] * right[i];
    return {
      angle: this.angle,
      place,
      terms,
      squares: Math.max(0, squares),
      count: lower[S] + upper[S],
      variance: (s) => {
        const inverse = invertSymmetric(normal, n);
        return inverse ? quadraticForm(inverse, [1, s, s * s, 0, 0, 0, 0]) : Number.POSITIVE_INFINITY;
      },
    };
  }

  /** How many bins lie before a place. */
  private before(place: number): number {
    return Math.min(this.bins, Math.max(0, Math.round((place + this.reach) / this.bin)));
  }

  /** Sums of the bins from, to (exclusive), with t counted from `place`. */
  private side(from: number, to: number, place: number): Float64Array {
    const own = new Float64Array(SUMS);
    for (let k = 0; k < SUMS; k++) own[k] = this.sums[to * SUMS + k] - this.sums[from * SUMS + k];
    const [p, q] = [place, place * place];
    const [n, s1, s2] = [own[0], own[1], own[2]];
    // Binomials, the highest powers first: each needs the lower ones as they were.
    own[12] += -4 * p * own[11] + 6 * q * own[8] - 4 * p * q * own[5] + q * q * n;
    own[11] += -3 * p * own[8] + 3 * q * own[5] - p * q * n;
    own[10] += -2 * p * own[7] + q * s2;
    own[9] += -2 * p * own[6] + q * s1;
    own[8] += -2 * p * own[5] + q * n;
    own[7] -= p * s2;
    own[6] -= p * s1;
    own[5] -= p * n;
    own[17] += -2 * p * own[16] + q * own[13];
    own[16] -= p * own[13];
    return own;
  }
}
