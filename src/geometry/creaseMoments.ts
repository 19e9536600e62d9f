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
 * without going through the samples again. One after another may be gathered into the same arrays.
 */
export class CreaseMoments {
  private angle = 0;
  private readonly bin: number;
  /** Bins below zero: their borders lie at whole numbers of bins. */
  private readonly below: number;
  /** Running sums: row k holds those of all bins before the k-th. */
  private readonly sums: Float64Array;
  private readonly bins: number;
  /** Of the fit that was last asked for: sums of its two sides, its normal equations, and their factor with a row below. */
  private readonly lower = new Float64Array(SUMS);
  private readonly upper = new Float64Array(SUMS);
  private readonly normal = new Float64Array(CREASE_TERMS * CREASE_TERMS);
  private readonly right = new Float64Array(CREASE_TERMS);
  private readonly factor = new Float64Array(CREASE_TERMS * (CREASE_TERMS + 1));

  /** @param reach of the windows, and @param bin width, in the unit of their x and y: places and gaps are whole numbers of bins */
  constructor(reach: number, bin: number) {
    this.bin = bin;
    this.below = Math.ceil(reach / bin);
    this.bins = 2 * this.below;
    this.sums = new Float64Array((this.bins + 1) * SUMS);
  }

  /**
   * Takes the sums anew.
   * @param window x y v of each sample, v about zero
   * @param angle of the crease's normal, radians
   */
  gather(window: Float64Array, angle: number): void {
    this.angle = angle;
    this.sums.fill(0);
    const { sums, bin, below } = this;
    const last = this.bins - 1;
    const cos = Math.cos(angle);
    const sin = Math.sin(angle);
    for (let i = 0; i < window.length; i += 3) {
      const t = window[i] * cos + window[i + 1] * sin;
      const s = -window[i] * sin + window[i + 1] * cos;
      const v = window[i + 2];
      const at = (Math.min(last, Math.max(0, Math.floor(t / bin) + below)) + 1) * SUMS;
      const ss = s * s;
      const tt = t * t;
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
   * Mean square of what two faces leave that meet at `place`, each a parabola across it, by least squares over the samples
   * farther than `gap` from it. Infinity where either side has fewer than `least` samples, or the fit is singular.
   */
  scatter(place: number, gap: number, least: number): number {
    const count = this.equations(place, gap, least);
    if (count === 0) return Infinity;
    const explained = explainedSquares(this.normal, this.right, this.factor);
    if (Number.isNaN(explained)) return Infinity;
    return Math.max(0, this.lower[VV] + this.upper[VV] - explained) / (count - CREASE_TERMS);
  }

  /** The faces themselves; undefined where `scatter` is Infinity. */
  fit(place: number, gap: number, least: number): CreaseFit | undefined {
    const count = this.equations(place, gap, least);
    if (count === 0) return undefined;
    const n = CREASE_TERMS;
    const normal = this.normal.slice();
    const terms = solveSymmetric(normal, this.right);
    if (terms === undefined) return undefined;
    let squares = this.lower[VV] + this.upper[VV];
    for (let i = 0; i < n; i++) squares -= terms[i] * this.right[i];
    return {
      angle: this.angle,
      place,
      terms,
      squares: Math.max(0, squares),
      count,
      variance: (s) => {
        const inverse = invertSymmetric(normal, n);
        return inverse ? quadraticForm(inverse, [1, s, s * s, 0, 0, 0, 0]) : Number.POSITIVE_INFINITY;
      },
    };
  }

  /** Sets the normal equations of such a fit; returns how many samples are in it, 0 where a side has fewer than `least`. */
  private equations(place: number, gap: number, least: number): number {
    const { lower, upper, normal, right } = this;
    this.side(0, this.before(place - gap), place, lower);
    this.side(this.before(place + gap), this.bins, place, upper);
    if (Math.min(lower[S], upper[S]) < least) return 0;
    const n = CREASE_TERMS;
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) normal[n * i + j] = lower[S + i + j] + upper[S + i + j];
      right[i] = lower[V + i] + upper[V + i];
    }
    sideEquations(normal, right, 3, lower);
    sideEquations(normal, right, 5, upper);
    return lower[S] + upper[S];
  }

  /** How many bins lie before a place. */
  private before(place: number): number {
    return Math.min(this.bins, Math.max(0, Math.round(place / this.bin) + this.below));
  }

  /** Sums of the bins from, to (exclusive), with t counted from `place`, into `own`. */
  private side(from: number, to: number, place: number, own: Float64Array): void {
    for (let k = 0; k < SUMS; k++) own[k] = this.sums[to * SUMS + k] - this.sums[from * SUMS + k];
    const p = place;
    const q = place * place;
    const n = own[0];
    const s1 = own[1];
    const s2 = own[2];
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
  }
}

/** Slope and bend across the crease on one side of it, from the number `at` of the equations on. */
function sideEquations(normal: Float64Array, right: Float64Array, at: number, side: Float64Array): void {
  const n = CREASE_TERMS;
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

/**
 * What a least-squares fit explains of the squares of its values, bᵀ·A⁻¹·b, by Cholesky: of many that are tried nothing else
 * is wanted. NaN where A is singular. `lower` is overwritten by the factor.
 */
function explainedSquares(normal: Float64Array, right: Float64Array, lower: Float64Array): number {
  const n = right.length;
  let explained = 0;
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      let sum = normal[i * n + j];
      for (let k = 0; k < j; k++) sum -= lower[i * n + k] * lower[j * n + k];
      lower[i * n + j] = sum / lower[j * n + j];
    }
    let pivot = normal[i * n + i];
    let rest = right[i];
    for (let k = 0; k < i; k++) {
      const l = lower[i * n + k];
      pivot -= l * l;
      rest -= l * lower[n * n + k];
    }
    if (!(pivot > 1e-14 * Math.abs(normal[i * n + i]))) return NaN;
    const root = Math.sqrt(pivot);
    lower[i * n + i] = root;
    lower[n * n + i] = rest / root;
    explained += (rest / root) ** 2;
  }
  return explained;
}
