import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { type WholePixels, wholePixels } from '../intake/scaleLight.ts';

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
/** More of no piece's outline is soft, and less of a blurred one in one stretch (practice). */
const [MOSTLY, ALL] = [0.45, 0.5];
/** Looks that a soft stretch holds at least. */
const LEAST_RUN = 7;
const LOOKS = 1000;
const WINITZKI = 0.147;

/**
 * Share of an outline that counts as shown by an edge, as far as softness tells: where most is soft in stretches between sharp
 * ones, it is that of glints or of a shadow. Where it is soft all along, the picture is blurred, which is told by itself.
 */
export function softlyShown({ soft, softStretch }: { soft: number; softStretch: number }): number {
  return soft > MOSTLY && softStretch < ALL ? 1 - soft : 1;
}

/** Share of all looks that are soft, in stretches or not. */
export function softLooks({ soft }: Sharpness): number {
  return soft.reduce((sum, one) => sum + one, 0) / Math.max(1, soft.length);
}

/**
 * Share of a ring along which the picture changes softly, and the longest such stretch as a share of it. Shorter stretches than
 * so many looks are texture's: a shadow's rim goes on. Points with a number above 0 in `leave` are passed over.
 */
export function softEdge(
  { places, soft }: Sharpness,
  leave?: Float64Array,
): { soft: number; softStretch: number } {
  const looks = soft.length;
  const isSoft = (k: number): boolean => soft[k] === 1 && !(leave !== undefined && leave[places[k]] > 0);
  let left = 0;
  if (leave !== undefined) for (const place of places) left += leave[place] > 0 ? 1 : 0;
  let start = 0;
  while (start < looks && isSoft(start)) start++;
  if (start === looks) return { soft: looks > 0 ? 1 : 0, softStretch: looks > 0 ? 1 : 0 };
  let [all, longest, run] = [0, 0, 0];
  // Once round from where it is sharp, and back to it.
  for (let k = 1; k <= looks; k++) {
    if (isSoft((start + k) % looks)) {
      run++;
      continue;
    }
    if (run >= LEAST_RUN) all += run;
    longest = Math.max(longest, run);
    run = 0;
  }
  return { soft: left < looks ? all / (looks - left) : 0, softStretch: longest / looks };
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
  const arm = Math.max(3, 2 * step);
  const contrasts = new Float64Array(CONTRASTS);
  const pixels = wholePixels(picture);
  for (let k = 0; k < count; k++) {
    readContrasts(pixels, ring, arm, places[k], contrasts);
    const [whole, outer] = [sizeOf(contrasts, AT_AWAY), sizeOf(contrasts, AT_FAR)];
    near[k] = outer > 0 ? sizeOf(contrasts, AT_NEAR) / outer : 1;
    close[k] = whole > 0 ? alongOf(contrasts) / (whole * whole) : 1;
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

/** Contrasts across a ring: sums of codes inside less outside at each distance, three channels after one another. */
type Contrasts = Float64Array;
const [AT_AWAY, AT_CLOSE, AT_NEAR, AT_FAR, CONTRASTS] = [0, 3, 6, 9, 12];

/** Reads the contrasts at a point of the ring: those away and close from the points about it too. */
function readContrasts(picture: WholePixels, ring: Points2, arm: number, at: number, into: Contrasts): void {
  const n = ring.length / 2;
  const frame = new Float64Array(4);
  into.fill(0);
  for (let m = -MEAN; m <= MEAN; m++) {
    const i = (at + m + n) % n;
    const a = (i + n - arm) % n;
    const b = (i + arm) % n;
    const dx = ring[2 * b] - ring[2 * a];
    const dy = ring[2 * b + 1] - ring[2 * a + 1];
    const size = Math.sqrt(dx * dx + dy * dy) || 1;
    frame[0] = ring[2 * i];
    frame[1] = ring[2 * i + 1];
    frame[2] = dy / size;
    frame[3] = -dx / size;
    addContrast(picture, frame, AWAY, into, AT_AWAY);
    addContrast(picture, frame, CLOSE, into, AT_CLOSE);
    if (m !== 0) continue;
    addContrast(picture, frame, NEAR, into, AT_NEAR);
    addContrast(picture, frame, FAR, into, AT_FAR);
  }
}

/** Product of the contrast close by and the one away. */
function alongOf(contrasts: Contrasts): number {
  return (
    contrasts[AT_AWAY] * contrasts[AT_CLOSE] +
    contrasts[AT_AWAY + 1] * contrasts[AT_CLOSE + 1] +
    contrasts[AT_AWAY + 2] * contrasts[AT_CLOSE + 2]
  );
}

function sizeOf(contrasts: Contrasts, at: number): number {
  const r = contrasts[at];
  const g = contrasts[at + 1];
  const b = contrasts[at + 2];
  return Math.sqrt(r * r + g * g + b * b);
}

/** Adds what the codes change by across a place, from so far on one side to as far on the other. The frame: x and y of the place, and the normal there. */
function addContrast(
  picture: WholePixels,
  frame: Float64Array,
  away: number,
  into: Contrasts,
  to: number,
): void {
  addCode(picture, frame, away, 1, into, to);
  addCode(picture, frame, away, -1, into, to);
}

/** Adds the codes of the three channels so far to one side of a place, between pixel centres, times `sign`; beyond the picture its rim goes on. */
function addCode(
  { whole, width, height }: WholePixels,
  frame: Float64Array,
  away: number,
  sign: 1 | -1,
  into: Float64Array,
  to: number,
): void {
  const u = Math.min(width - 1.001, Math.max(0, frame[0] + sign * (away * frame[2])));
  const v = Math.min(height - 1.001, Math.max(0, frame[1] + sign * (away * frame[3])));
  const i = Math.floor(u);
  const j = Math.floor(v);
  const fx = u - i;
  const fy = v - j;
  const at = j * width + i;
  const p = whole[at];
  const q = whole[at + 1];
  const r = whole[at + width];
  const s = whole[at + width + 1];
  for (let c = 0, shift = 0; c < 3; c++, shift += 8) {
    const upper = ((p >> shift) & 255) * (1 - fx) + ((q >> shift) & 255) * fx;
    const lower = ((r >> shift) & 255) * (1 - fx) + ((s >> shift) & 255) * fx;
    into[to + c] += sign * (upper * (1 - fy) + lower * fy);
  }
}
