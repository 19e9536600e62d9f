import { medianInPlace } from '../geometry/median.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { linearOf } from '../intake/scaleLight.ts';

/** Keeps the logarithm of black finite; share of white. */
const BLACK = 0.002;
/** A ring turns sharply by so much (radians) between arms of this share of it, of at least so many points. */
const [TURN, ARM, LEAST_ARM] = [Math.PI / 6, 0.004, 6];
/** The tangent of what surely is no such turn. */
const BLUNT = 0.99 * Math.tan(TURN);
/** Places along the line between two turns at which what lies between them is looked at, as shares of it, and how far apart they are. */
export const ALONG = [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8];
const APART = 0.1;
/**
 * Lobes and bays take up no more of the ring than this, their outline is so many times as long as they are wide, and nowhere ALONG are they lower than this
 * share of their height: what dips between is several.
 */
const [MOST, BULGE, WHOLE] = [0.25, 1.2, 0.4];
/** About so many points tell that a stretch is none of them. */
const FEW = 40;
/** Colour tells more than brightness, which facets change. */
const COLOUR = 2;

/** Brightness and two differences of colour, logarithms. */
export type Tone = readonly [number, number, number];

/** All that lies between two sharp turns of a ring of one sense and is `least` pixels high: lobes between inward ones, bays between outward ones; with their stretch of it. */
export function lobesOf(
  ring: Points2,
  way: 1 | -1,
  least: number,
): { readonly lobe: Lobe; readonly from: number; readonly points: number }[] {
  const n = ring.length / 2;
  const sense = Math.sign(polygonMoments([ring]).area);
  const turns = sharpTurns(ring, way);
  return turns.flatMap((from) =>
    turns.flatMap((to) => {
      const points = (to - from + n) % n;
      if (points < 2 * least || points > MOST * n) return [];
      const wide = Math.hypot(ring[2 * to] - ring[2 * from], ring[2 * to + 1] - ring[2 * from + 1]);
      if (points < BULGE * wide) return [];
      if (!mayBeWhole(ring, from, points)) return [];
      const lobe = lobeOf(ring, from, points);
      // Of a ring of positive area what stands out lies to the left of its lines.
      const isOut = lobe.side === -sense;
      const isWhole =
        lobe.height >= least &&
        lobe.heights.every((high) => high >= WHOLE * lobe.height && high <= lobe.height);
      return isWhole && isOut === (way === -1) ? [{ lobe, from, points }] : [];
    }),
  );
}

/** Numbers of the points at which a ring turns inward (`way` −1) or outward (1) most, each more than those about it. */
export function sharpTurns(ring: Points2, way: 1 | -1): number[] {
  const n = ring.length / 2;
  const arm = Math.max(LEAST_ARM, Math.round(ARM * n));
  if (n < 8 * arm) return [];
  const sense = Math.sign(polygonMoments([ring]).area);
  const turn = new Float64Array(n);
  const sharp: number[] = [];
  for (let i = 0; i < n; i++) {
    const a = 2 * ((i - arm + n) % n);
    const b = 2 * i;
    const c = 2 * ((i + arm) % n);
    const ux = ring[b] - ring[a];
    const uy = ring[b + 1] - ring[a + 1];
    const vx = ring[c] - ring[b];
    const vy = ring[c + 1] - ring[b + 1];
    const across = way * sense * (ux * vy - uy * vx);
    const along = ux * vx + uy * vy;
    // Most points turn by less, whichever it is, and are none that another is compared with: without an arc tangent.
    if (along > 0 && across < BLUNT * along) continue;
    turn[i] = Math.atan2(across, along);
    if (turn[i] >= TURN) sharp.push(i);
  }
  return sharp.filter((i) => {
    for (let k = 1; k <= arm; k++)
      if (turn[(i + k) % n] > turn[i] || turn[(i - k + n) % n] >= turn[i]) return false;
    return true;
  });
}

/** What lies between two places of a ring, seen from the line between these. */
export interface Lobe {
  readonly x0: number;
  readonly y0: number;
  /** Unit vector along the line, and how long it is. */
  readonly dx: number;
  readonly dy: number;
  readonly wide: number;
  /** 1 where the lobe lies to the right of the line as it runs (y down), −1 to the left. */
  readonly side: number;
  readonly height: number;
  /** How high the lowest of its rim is over each of the places ALONG; infinite where none of it is, as with few points far apart. */
  readonly heights: readonly number[];
}

/** How far a stretch of a ring goes to either side of the line between its ends. */
interface Stretch {
  readonly line: Pick<Lobe, 'x0' | 'y0' | 'dx' | 'dy' | 'wide'>;
  readonly up: number;
  readonly down: number;
  /** The least and the most to the upper side over each of the places ALONG; infinite where none of it is. */
  readonly least: readonly number[];
  readonly most: readonly number[];
}

/** Read at every so many points. */
function stretchOf(ring: Points2, from: number, points: number, every: number): Stretch {
  const n = ring.length / 2;
  const a = 2 * (from % n);
  const b = 2 * ((from + points) % n);
  const x0 = ring[a];
  const y0 = ring[a + 1];
  const ex = ring[b] - x0;
  const ey = ring[b + 1] - y0;
  const wide = Math.hypot(ex, ey);
  const dx = ex / wide;
  const dy = ey / wide;
  const least: number[] = Array(ALONG.length).fill(Infinity);
  const most: number[] = Array(ALONG.length).fill(-Infinity);
  let up = 0;
  let down = 0;
  for (let k = 0, at = a; k <= points; k += every) {
    const x = ring[at] - x0;
    const y = ring[at + 1] - y0;
    const off = dx * y - dy * x;
    if (off > up) up = off;
    if (-off > down) down = -off;
    const place = Math.round(((dx * x + dy * y) / wide - ALONG[0]) / APART);
    if (place >= 0 && place < ALONG.length) {
      if (off < least[place]) least[place] = off;
      if (off > most[place]) most[place] = off;
    }
    at += 2 * every;
    if (at >= ring.length) at -= ring.length;
  }
  return { line: { x0, y0, dx, dy, wide }, up, down, least, most };
}

/**
 * Whether a stretch may stand out as a whole to one side, by a few of its points: between the sharp turns of a knapped margin there are
 * thousands of stretches, and hardly one does. More points lower what is least and raise what is most.
 */
function mayBeWhole(ring: Points2, from: number, points: number): boolean {
  const { up, down, least, most } = stretchOf(ring, from, points, 1 + Math.floor(points / FEW));
  const enough = WHOLE * Math.max(up, down);
  return least.every((off) => off >= enough) || most.every((off) => -off >= enough);
}

function lobeOf(ring: Points2, from: number, points: number): Lobe {
  const { line, up, down, least, most } = stretchOf(ring, from, points, 1);
  return up >= down
    ? { ...line, side: 1, height: up, heights: least }
    : { ...line, side: -1, height: down, heights: most.map((off) => -off) };
}

/** What the pixels about a place show in the mean, so many to a side and the middle. */
export function toneOf({ width, height, rgba }: Pixels, x: number, y: number, aside = 1): Tone {
  const [column, row] = [Math.round(x), Math.round(y)];
  const sums = [0, 0, 0];
  for (let v = row - aside; v <= row + aside; v++) {
    for (let u = column - aside; u <= column + aside; u++) {
      const at = 4 * (Math.min(height - 1, Math.max(0, v)) * width + Math.min(width - 1, Math.max(0, u)));
      for (let c = 0; c < 3; c++) sums[c] += linearOf(rgba[at + c]) / (2 * aside + 1) ** 2;
    }
  }
  const [red, green, blue] = sums.map((sum) => Math.log(sum + BLACK));
  return [(red + green + blue) / 3, red - green, blue - green];
}

export function distance(a: Tone, b: Tone): number {
  return Math.hypot(a[0] - b[0], COLOUR * (a[1] - b[1]), COLOUR * (a[2] - b[2]));
}

/** Medians of each of the three. */
export function middleOf(tones: readonly Tone[]): Tone {
  const [light, red, blue] = [0, 1, 2].map((c) => medianInPlace(Float64Array.from(tones, (tone) => tone[c])));
  return [light, red, blue];
}
