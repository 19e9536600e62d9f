import { medianInPlace } from '../geometry/median.ts';
import { maskInside } from '../geometry/polygonMask.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

/** Keeps the logarithm of black finite; share of white. */
const BLACK = 0.002;
/** The ring turns inward where something is attached: by so much (radians) between arms of this share of the ring, of at least so many points. */
const [TURN, ARM, LEAST_ARM] = [Math.PI / 6, 0.004, 6];
/** What is attached takes up no more of the ring than this; is so many pixels high at least; and its outline is so many times as long as it is wide. */
const [MOST, LEAST_HEIGHT, BULGE] = [0.25, 10, 1.2];
/** Places across what is attached at which it is looked at, and shares of the way from its seam to its rim. */
const [ALONG, UP] = [
  [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8],
  [0.3, 0.5, 0.7],
];
/** The seam lies within this share of the height off the line between the two turns; its step is read over so many pixels to either side, past the blur. */
const [SEAM, STEP] = [0.4, 4];
/** At this share of places along the seam its step is of that share of what the two sides differ by. */
const [SEEN, SHARP] = [0.7, 0.6];
/** What is attached differs from the stone by so much (logarithms, colour counted as by COLOUR), and no more of the stone than this is half as near to it. */
const [UNLIKE, RARE] = [0.3, 0.02];
/** Colour tells more than brightness, which facets change. */
const COLOUR = 2;
/** About so many places inside tell the stone's colours. */
const SAMPLE = 900;

/** Brightness and two differences of colour, logarithms. */
type Tone = readonly [number, number, number];

/** A place in the picture, and what is seen there. */
interface Seen {
  readonly x: number;
  readonly y: number;
  readonly tone: Tone;
}

/**
 * By point of a ring: how high a part is there that seems to be attached to the stone, pixels: a lump of putty or wax that holds it, a tag. Such
 * a part lies between two places at which the ring turns inward, is of a colour that the stone has hardly anywhere, and a sharp step stands between the
 * two. Undefined where there is none. The ring: one point about every pixel, either sense.
 */
export function attachedAlong(ring: Points2, picture: Pixels): Float64Array | undefined {
  const n = ring.length / 2;
  const turns = inwardTurns(ring);
  let out: Float64Array | undefined;
  let stone: readonly Seen[] | undefined;
  for (const from of turns) {
    for (const to of turns) {
      const points = (to - from + n) % n;
      if (points < 2 * LEAST_HEIGHT || points > MOST * n) continue;
      const lobe = lobeOf(ring, from, points);
      if (lobe.height < LEAST_HEIGHT || points < BULGE * lobe.wide) continue;
      stone ??= insideOf(ring, picture);
      if (!isForeign(lobe, stone, picture)) continue;
      out ??= new Float64Array(n);
      for (let k = 0; k <= points; k++) {
        const i = (from + k) % n;
        out[i] = Math.max(out[i], lobe.height);
      }
    }
  }
  return out;
}

/** Numbers of the points at which a ring turns inward most, each more than those about it. */
function inwardTurns(ring: Points2): number[] {
  const n = ring.length / 2;
  const arm = Math.max(LEAST_ARM, Math.round(ARM * n));
  if (n < 8 * arm) return [];
  const sense = Math.sign(polygonMoments([ring]).area);
  const turn = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const [a, b, c] = [2 * ((i - arm + n) % n), 2 * i, 2 * ((i + arm) % n)];
    const [ux, uy] = [ring[b] - ring[a], ring[b + 1] - ring[a + 1]];
    const [vx, vy] = [ring[c] - ring[b], ring[c + 1] - ring[b + 1]];
    turn[i] = -sense * Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
  }
  return Array.from(turn.keys()).filter((i) => {
    if (turn[i] < TURN) return false;
    for (let k = 1; k <= arm; k++)
      if (turn[(i + k) % n] > turn[i] || turn[(i - k + n) % n] >= turn[i]) return false;
    return true;
  });
}

/** What lies between two places of a ring, seen from the line between these. */
interface Lobe {
  readonly x0: number;
  readonly y0: number;
  /** Unit vector along the line, and how long it is. */
  readonly dx: number;
  readonly dy: number;
  readonly wide: number;
  /** 1 where the lobe lies to the right of the line as it runs (y down), −1 to the left. */
  readonly side: number;
  readonly height: number;
  /** How high its rim is over each of the places ALONG. */
  readonly heights: readonly number[];
}

function lobeOf(ring: Points2, from: number, points: number): Lobe {
  const n = ring.length / 2;
  const at = (k: number): number => 2 * ((from + k) % n);
  const [a, b] = [at(0), at(points)];
  const [x0, y0] = [ring[a], ring[a + 1]];
  const [ex, ey] = [ring[b] - x0, ring[b + 1] - y0];
  const wide = Math.hypot(ex, ey);
  const [dx, dy] = [ex / wide, ey / wide];
  const highest = new Float64Array(ALONG.length);
  let [up, down] = [0, 0];
  const offs = new Float64Array(points + 1);
  const alongs = new Float64Array(points + 1);
  for (let k = 0; k <= points; k++) {
    const [x, y] = [ring[at(k)] - x0, ring[at(k) + 1] - y0];
    offs[k] = dx * y - dy * x;
    alongs[k] = (dx * x + dy * y) / wide;
    up = Math.max(up, offs[k]);
    down = Math.max(down, -offs[k]);
  }
  const side = up >= down ? 1 : -1;
  for (let k = 0; k <= points; k++) {
    ALONG.forEach((share, i) => {
      if (Math.abs(alongs[k] - share) < 0.05) highest[i] = Math.max(highest[i], side * offs[k]);
    });
  }
  return { ...{ x0, y0, dx, dy, wide, side }, height: Math.max(up, down), heights: Array.from(highest) };
}

/** Whether a lobe is of another colour than nearly all of the stone, with a sharp step between the two. */
function isForeign(lobe: Lobe, stone: readonly Seen[], picture: Pixels): boolean {
  const { x0, y0, dx, dy, wide, side, heights } = lobe;
  const toneAt = (share: number, off: number): Tone => {
    const [along, across] = [share * wide, side * off];
    return toneOf(picture, x0 + along * dx - across * dy, y0 + along * dy + across * dx);
  };
  if (heights.some((height) => height < LEAST_HEIGHT / 2)) return false;
  const within = ALONG.flatMap((share, i) => UP.map((up) => toneAt(share, up * heights[i])));
  const behind = ALONG.flatMap((share, i) => UP.map((up) => toneAt(share, -up * heights[i])));
  const [own, other] = [middleOf(within), middleOf(behind)];
  const apart = distance(own, other);
  if (apart < UNLIKE || within.filter((tone) => distance(tone, other) < apart / 2).length > within.length / 4)
    return false;
  // Of all inside the ring, what lies on the lobe's side of the line is left out.
  const others = stone.filter(({ x, y }) => side * (dx * (y - y0) - dy * (x - x0)) < 0);
  const near = others.filter(({ tone }) => distance(tone, own) < apart / 2).length;
  if (near > RARE * others.length) return false;
  const steps = ALONG.filter((along, i) => {
    for (let off = -SEAM * heights[i]; off <= SEAM * heights[i]; off++) {
      if (distance(toneAt(along, off + STEP), toneAt(along, off - STEP)) > SHARP * apart) return true;
    }
    return false;
  });
  return steps.length >= SEEN * ALONG.length;
}

/** Places strewn evenly inside a ring. */
function insideOf(ring: Points2, picture: Pixels): Seen[] {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < ring.length; i += 2) {
    left = Math.min(left, ring[i]);
    right = Math.max(right, ring[i]);
    top = Math.min(top, ring[i + 1]);
    bottom = Math.max(bottom, ring[i + 1]);
  }
  const cell = Math.max(1, Math.sqrt(Math.abs(polygonMoments([ring]).area) / SAMPLE));
  const [columns, rows] = [Math.ceil((right - left) / cell), Math.ceil((bottom - top) / cell)];
  const mask = maskInside([ring], { x0: left, y0: top, cell, columns, rows });
  const found: Seen[] = [];
  for (let i = 0; i < mask.length; i++) {
    if (mask[i] === 0) continue;
    const [x, y] = [left + (i % columns) * cell, top + Math.floor(i / columns) * cell];
    found.push({ x, y, tone: toneOf(picture, x, y) });
  }
  return found;
}

/** What the 3 × 3 pixels about a place show in the mean. */
function toneOf({ width, height, rgba }: Pixels, x: number, y: number): Tone {
  const [column, row] = [Math.round(x), Math.round(y)];
  const sums = [0, 0, 0];
  for (let v = row - 1; v <= row + 1; v++) {
    for (let u = column - 1; u <= column + 1; u++) {
      const at = 4 * (Math.min(height - 1, Math.max(0, v)) * width + Math.min(width - 1, Math.max(0, u)));
      for (let c = 0; c < 3; c++) sums[c] += linearOf(rgba[at + c]) / 9;
    }
  }
  const [red, green, blue] = sums.map((sum) => Math.log(sum + BLACK));
  return [(red + green + blue) / 3, red - green, blue - green];
}

function distance(a: Tone, b: Tone): number {
  return Math.hypot(a[0] - b[0], COLOUR * (a[1] - b[1]), COLOUR * (a[2] - b[2]));
}

/** Medians of each of the three. */
function middleOf(tones: readonly Tone[]): Tone {
  const [light, red, blue] = [0, 1, 2].map((c) => medianInPlace(Float64Array.from(tones, (tone) => tone[c])));
  return [light, red, blue];
}
