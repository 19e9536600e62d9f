import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';

/** How sharply the picture changes across a ring, at places strewn evenly along it. */
export interface Sharpness {
  /** Points of the ring that were looked at. */
  readonly places: Uint32Array;
  /** 1 where the change is soft: the rim of a shadow or of a glint, or out of focus. */
  readonly soft: Uint8Array;
  /** Standard deviation of the bell that blurs half of the edges less and half more, pixels. */
  readonly blur: number;
}

/** Pixels to either side at which an edge is compared with itself: near, where a sharp one is over, and far. */
const NEAR = 3;
export const FAR = 10;
/** An edge of which less than this share lies between the near places is soft. */
const SHARP = 0.55;
/** The same within one ring, whose sharpest edges tell how sharp the picture is: nearer places, and the share of the ring's median. */
const [CLOSE, AWAY] = [1.5, 8];
const USUAL = 0.6;
/** Points to either side that a look takes the mean of, and looks to either side of which most must be soft. */
const MEAN = 2;
const AROUND = 7;
const MOST = 0.6;
const LOOKS = 1000;
const WINITZKI = 0.147;

/**
 * Share of a ring along which the picture changes softly, and the longest such stretch as a share of it. Points with a
 * number above 0 in `leave` are passed over.
 */
export function softEdge(
  { places, soft }: Sharpness,
  leave?: Float64Array,
): { soft: number; softStretch: number } {
  const looks = soft.length;
  let [count, all, longest, run] = [0, 0, 0, 0];
  // Twice round, for a stretch over the ring's first point.
  for (let k = 0; k < 2 * looks; k++) {
    const at = k % looks;
    const left = leave !== undefined && leave[places[at]] > 0;
    run = soft[at] === 1 && !left ? Math.min(looks, run + 1) : 0;
    longest = Math.max(longest, run);
    if (k >= looks || left) continue;
    count++;
    all += soft[at];
  }
  return count > 0 ? { soft: all / count, softStretch: longest / looks } : { soft: 0, softStretch: 0 };
}

/**
 * A sharp edge has nearly the whole of its contrast within a few pixels; and along one piece all edges are about as
 * sharp, unless it is not the piece's edge that the ring follows.
 */
export function sharpnessOf(picture: Pixels, ring: Points2): Sharpness {
  const n = ring.length / 2;
  const step = Math.max(1, Math.floor(n / LOOKS));
  const count = Math.floor(n / step);
  const places = Uint32Array.from({ length: count }, (_, k) => k * step);
  const near = new Float64Array(count);
  const close = new Float64Array(count);
  const read = profileOf(picture, ring, Math.max(3, 2 * step));
  for (let k = 0; k < count; k++) {
    const { atNear, atClose } = read(places[k]);
    near[k] = atNear;
    close[k] = atClose;
  }
  const usual = Float64Array.from(close).sort()[count >> 1] ?? 0;
  const soft = new Uint8Array(count);
  for (let k = 0; k < count; k++) {
    let unusual = 0;
    for (let m = -AROUND; m <= AROUND; m++) {
      if (close[(k + m + AROUND * count) % count] < USUAL * usual) unusual++;
    }
    if (near[k] < SHARP || unusual > MOST * (2 * AROUND + 1)) soft[k] = 1;
  }
  return { places, soft, blur: bellOf(usual) };
}

/**
 * The bell that leaves a share of an edge's contrast between the close places: the error function, turned about, by the
 * approximation of Winitzki (2008), right to 0.2 %.
 */
function bellOf(share: number): number {
  const within = Math.min(0.9999, Math.max(0.01, share));
  const log = Math.log(1 - within * within);
  const half = 2 / (Math.PI * WINITZKI) + log / 2;
  return CLOSE / (Math.SQRT2 * Math.sqrt(Math.sqrt(half * half - log / WINITZKI) - half));
}

/** Reads, at a point of the ring, what share of the contrast lies within the near and the close places. */
function profileOf(
  picture: Pixels,
  ring: Points2,
  arm: number,
): (at: number) => { atNear: number; atClose: number } {
  const n = ring.length / 2;
  const difference = new Float64Array(3);
  const far = new Float64Array(3);
  const add = (i: number, reach: number, into: Float64Array): void => {
    const [a, b] = [(i + n - arm) % n, (i + arm) % n];
    const [dx, dy] = [ring[2 * b] - ring[2 * a], ring[2 * b + 1] - ring[2 * a + 1]];
    const size = Math.hypot(dx, dy) || 1;
    const [nx, ny] = [(reach * dy) / size, (-reach * dx) / size];
    addCode(picture, ring[2 * i] + nx, ring[2 * i + 1] + ny, 1, into);
    addCode(picture, ring[2 * i] - nx, ring[2 * i + 1] - ny, -1, into);
  };
  const over = (at: number, reach: number, mean: number, into: Float64Array): void => {
    into.fill(0);
    for (let m = -mean; m <= mean; m++) add((at + m + n * (1 + mean)) % n, reach, into);
  };
  return (at) => {
    over(at, AWAY, MEAN, far);
    const whole = far[0] ** 2 + far[1] ** 2 + far[2] ** 2;
    over(at, CLOSE, MEAN, difference);
    const along = difference[0] * far[0] + difference[1] * far[1] + difference[2] * far[2];
    over(at, NEAR, 0, difference);
    const inner = Math.hypot(difference[0], difference[1], difference[2]);
    over(at, FAR, 0, difference);
    const outer = Math.hypot(difference[0], difference[1], difference[2]);
    return { atNear: outer > 0 ? inner / outer : 1, atClose: whole > 0 ? along / whole : 1 };
  };
}

/** Adds the codes of the three channels between pixel centres, times `sign`; beyond the picture its rim goes on. */
function addCode(
  { width, height, rgba }: Pixels,
  x: number,
  y: number,
  sign: number,
  into: Float64Array,
): void {
  const u = Math.min(width - 1.001, Math.max(0, x));
  const v = Math.min(height - 1.001, Math.max(0, y));
  const [i, j] = [Math.floor(u), Math.floor(v)];
  const [fx, fy] = [u - i, v - j];
  const k = 4 * (j * width + i);
  const below = k + 4 * width;
  for (let c = 0; c < 3; c++) {
    const upper = rgba[k + c] * (1 - fx) + rgba[k + 4 + c] * fx;
    const lower = rgba[below + c] * (1 - fx) + rgba[below + 4 + c] * fx;
    into[c] += sign * (upper * (1 - fy) + lower * fy);
  }
}
