import { rankInPlace } from '../geometry/median.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { type WholePixels, wholePixels } from '../intake/scaleLight.ts';
import type { Beyond } from './photoBeyond.ts';
import { type NewEnd, withEnds } from './photoTips.ts';

/** Distances from the ring at which its two sides are read, pixels: past its blur. */
const READ = [3, 4, 5];
/** A spur is thinner than twice this, pixels: so far to either side of it there is backdrop. */
const ASIDE = 6;
/** Points to either side between which the direction of the ring is taken. */
const ARM = 3;
/** Share of the piece's colour, over what lies to either side, from which on something is seen; and how many times what all but so few points show. */
const [SEEN, STANDS, FEW] = [0.4, 3.5, 0.05];
/** A spur is followed while it shows more of the colour than this, by steps of a pixel with so much to either side, so far at most. */
const [GOES_ON, SWAY, FARTHEST] = [0.25, 1, 40];
/** Points next to each other that must show it; and nearer ones are one spur's. */
const [ROW, APART] = [2, 12];
/** Points to either side of a ring's end from which a spur may go on, and those that make room for it. */
const [BLUNT, ROOT] = [12, 2];
/** Bits that the sum of a few codes of one channel has room in, and what they hold: three channels go into one whole number. */
const [ROOM, SUM] = [10, 1023];
/** Squared codes by which the two sides differ at least. */
const LEAST_CONTRAST = 100;

/**
 * Thin spurs beyond a ring: barbs and tips of a few pixels that the outline leaves out. Just outside of it, where a spur
 * begins, something of the piece's colour is seen with backdrop to either side. The ring: one point about every pixel, either sense.
 */
export function spursBeyond(ring: Points2, picture: Pixels): Beyond[] {
  const n = ring.length / 2;
  if (n < 8 * ASIDE) return [];
  const sign = outwardSign(ring);
  const whole = wholePixels(picture);
  // What is ROW points wide shows at one of them whose number ROW divides: only beside such are the others looked at.
  const shares = new Float64Array(n).fill(NaN);
  for (let i = 0; i < n; i += ROW) shares[i] = shareAt(ring, i, sign, whole);
  const sizes = Float64Array.from({ length: Math.ceil(n / ROW) }, (_, k) => Math.abs(shares[ROW * k]));
  const usual = rankInPlace(sizes, Math.floor((1 - FEW) * (sizes.length - 1)));
  const least = Math.max(SEEN, STANDS * usual);
  const found: Beyond[] = [];
  for (let i = 0; i < n; i += ROW) {
    if (shares[i] < least) continue;
    for (let k = i - APART; k <= i + APART; k++) {
      const j = (k + n) % n;
      if (Number.isNaN(shares[j])) shares[j] = shareAt(ring, j, sign, whole);
    }
  }
  for (let i = 0; i < n; i++) {
    if (!isPeak(shares, i, least)) continue;
    const { reach } = followed(frameAt(ring, i, sign), whole);
    if (reach > READ[0]) found.push({ at: i, reach, error: reach / Math.sqrt(3) });
  }
  return found;
}

/** Whether a point shows most of those about it, and enough of them in a row show enough. */
function isPeak(shares: Float64Array, at: number, least: number): boolean {
  if (!(shares[at] >= least)) return false;
  const n = shares.length;
  let row = 1;
  for (let k = 1; k < ROW && shares[(at + k) % n] >= least; k++) row++;
  for (let k = 1; k < ROW && shares[(at + n - k) % n] >= least; k++) row++;
  if (row < ROW) return false;
  for (let k = 1; k <= APART; k++) {
    if (shares[(at + n - k) % n] >= shares[at] || shares[(at + k) % n] > shares[at]) return false;
  }
  return true;
}

/** How much of the piece's colour is seen beyond a point, over what lies to either side there: 0 of none, 1 of all. */
function shareAt(ring: Points2, at: number, sign: number, picture: WholePixels): number {
  const { x, y, nx, ny } = frameAt(ring, at, sign);
  let inside = 0;
  let here = 0;
  let left = 0;
  let right = 0;
  for (let k = 0; k < READ.length; k++) {
    const u = x + READ[k] * nx;
    const v = y + READ[k] * ny;
    inside += codesAt(picture, (x - READ[k] * nx + 0.5) | 0, (y - READ[k] * ny + 0.5) | 0);
    here += codesAt(picture, (u + 0.5) | 0, (v + 0.5) | 0);
    left += codesAt(picture, (u - ASIDE * ny + 0.5) | 0, (v + ASIDE * nx + 0.5) | 0);
    right += codesAt(picture, (u + ASIDE * ny + 0.5) | 0, (v - ASIDE * nx + 0.5) | 0);
  }
  return lesser(here, inside, 1, left, right, READ.length);
}

/**
 * Share of `inside` in `here`, over each of two sides: the lesser of the two. All are sums of so many pixels' codes, `inside`
 * of `times` as many.
 */
function lesser(
  here: number,
  inside: number,
  times: number,
  left: number,
  right: number,
  count: number,
): number {
  return Math.min(shareOver(here, inside, times, left, count), shareOver(here, inside, times, right, count));
}

function shareOver(here: number, inside: number, times: number, outside: number, count: number): number {
  let product = 0;
  let square = 0;
  let rest = 0;
  for (let channel = 0; channel < 3 * ROOM; channel += ROOM) {
    const out = (outside >> channel) & SUM;
    const whole = ((inside >> channel) & SUM) / times - out;
    const part = ((here >> channel) & SUM) - out;
    product += whole * part;
    square += whole * whole;
    rest += part * part;
  }
  if (square < count * count * LEAST_CONTRAST) return 0;
  const share = product / square;
  // What is off the line between the two colours is something else.
  return rest - share * product > share * product ? 0 : share;
}

/** How far and to where a spur goes on beyond a place: step by step outward, to whichever side shows most. */
function followed(
  { x, y, nx, ny }: Place,
  picture: WholePixels,
): { readonly reach: number; readonly end: readonly [x: number, y: number] } {
  let inside = 0;
  for (const off of READ) {
    inside += codesAt(picture, (x - off * nx + 0.5) | 0, (y - off * ny + 0.5) | 0);
  }
  let [u, v, dx, dy] = [x + 2 * nx, y + 2 * ny, nx, ny];
  for (let far = 2; far < FARTHEST; far++) {
    let [best, sway] = [-1, 0];
    for (let k = -SWAY; k <= SWAY; k++) {
      const [a, b] = [u + dx - (k * dy) / 2, v + dy + (k * dx) / 2];
      const here = codesAt(picture, (a + 0.5) | 0, (b + 0.5) | 0);
      const left = codesAt(picture, (a - ASIDE * dy + 0.5) | 0, (b + ASIDE * dx + 0.5) | 0);
      const right = codesAt(picture, (a + ASIDE * dy + 0.5) | 0, (b - ASIDE * dx + 0.5) | 0);
      const share = lesser(here, inside, READ.length, left, right, 1);
      if (share > best) [best, sway] = [share, k];
    }
    if (best < GOES_ON) return { reach: far, end: [u, v] };
    [u, v] = [u + dx - (sway * dy) / 2, v + dy + (sway * dx) / 2];
    const [ex, ey] = [dx - (sway * dy) / 4, dy + (sway * dx) / 4];
    const size = Math.hypot(ex, ey);
    [dx, dy] = [ex / size, ey / size];
  }
  return { reach: FARTHEST, end: [u, v] };
}

/**
 * A ring with its two ends along a direction (a unit vector, pixels) drawn out to where thin spurs of its colour go on beyond them;
 * undefined where none does. It takes less to be one than along a whole ring: whoever asks knows that something is missing there.
 */
export function drawnOut(
  ring: Points2,
  direction: readonly [number, number],
  picture: Pixels,
): Points2 | undefined {
  const whole = wholePixels(picture);
  const ends: NewEnd[] = [];
  for (const way of [1, -1]) {
    const [nx, ny] = [way * direction[0], way * direction[1]];
    const along = (i: number): number => ring[2 * i] * nx + ring[2 * i + 1] * ny;
    const n = ring.length / 2;
    let last = 0;
    for (let i = 1; i < n; i++) if (along(i) > along(last)) last = i;
    let longest: NewEnd | undefined;
    let farthest = along(last) + READ[0];
    for (let k = -BLUNT; k <= BLUNT; k++) {
      const at = (last + k + n) % n;
      if (along(at) < along(last) - READ[0]) continue;
      const { reach, end } = followed({ x: ring[2 * at], y: ring[2 * at + 1], nx, ny }, whole);
      const far = end[0] * nx + end[1] * ny;
      if (reach > READ[0] && far > farthest) [longest, farthest] = [{ at, reach: ROOT, end }, far];
    }
    if (longest !== undefined) ends.push(longest);
  }
  return ends.length === 0 ? undefined : withEnds(ring, ends).ring;
}

interface Place {
  readonly x: number;
  readonly y: number;
  /** Unit normal, outward. */
  readonly nx: number;
  readonly ny: number;
}

function frameAt(ring: Points2, i: number, sign: number): Place {
  const n = ring.length / 2;
  const a = (i + n - ARM) % n;
  const b = (i + ARM) % n;
  const dx = ring[2 * b] - ring[2 * a];
  const dy = ring[2 * b + 1] - ring[2 * a + 1];
  const size = Math.sqrt(dx * dx + dy * dy) || 1;
  return { x: ring[2 * i], y: ring[2 * i + 1], nx: (sign * dy) / size, ny: (-sign * dx) / size };
}

/** 1 where the left-hand normal of a ring points outward, else −1. */
function outwardSign(ring: Points2): number {
  let area = 0;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    area += ring[j] * ring[i + 1] - ring[i] * ring[j + 1];
  }
  return area > 0 ? 1 : -1;
}

/**
 * The codes of a pixel, ROOM bits for each channel; beyond the picture its rim goes on. Places are rounded before they are handed
 * on (what is cut off at 0 lies beyond the rim anyhow): whole numbers are handed on as they are, others laid out in memory.
 */
function codesAt({ whole, width, height }: WholePixels, x: number, y: number): number {
  const u = Math.min(width - 1, Math.max(0, x));
  const v = Math.min(height - 1, Math.max(0, y));
  const codes = whole[v * width + u];
  return (codes & 0xff) | ((codes & 0xff00) << (ROOM - 8)) | ((codes & 0xff0000) << (2 * ROOM - 16));
}
