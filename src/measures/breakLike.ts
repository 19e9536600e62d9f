import type { Stretch } from './marginRuns.ts';

/** The margin in plan: `arc` from the tip in mm, ascending from 0, and the whole `length` round. */
export interface PlanMargin {
  readonly arc: ArrayLike<number>;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly length: number;
}

/** Edge angles in degrees by arc length; null or NaN where there is none. */
export interface PlaceAngles {
  readonly arc: ArrayLike<number>;
  readonly angle: ArrayLike<number | null>;
}

/** Places round the margin at which straight stretches are looked for. */
const PLACES = 400;
/** A break is at least this share of the width long. */
const LEAST_SHARE = 0.3;
/** Straight: no place farther from the chord than this share of it. */
const STRAIGHT = 0.06;
/** Across the axis to within this, degrees. */
const ACROSS = 50;
/** At either end of a break the margin turns by this or more, degrees, within `CORNER` of the margin's length. */
const TURN = 40;
const CORNER = 0.03;
/** A break has edge angles over this in the median, degrees, */
const STEEP = 70;
/** and an angle at this share of its places or more. */
const KNOWN = 0.25;

/**
 * Stretches of margin that look like breaks: straight, across the piece, with steep edges and a corner at either end. A butt
 * that was struck or left so looks the same: a person decides. From > to where a stretch goes round the tip. The longest first.
 */
export function breakLike(margin: PlanMargin, angles: PlaceAngles, width: number): readonly Stretch[] {
  const places = evenly(margin);
  const step = margin.length / PLACES;
  const found: { readonly first: number; readonly last: number; readonly chord: number }[] = [];
  for (let first = 0; first < PLACES; first++) {
    for (let count = Math.floor(PLACES / 2); count * step >= LEAST_SHARE * width; count--) {
      const last = first + count;
      if (!isBreakLike(places, first, last, LEAST_SHARE * width)) continue;
      const stretch = asStretch(first, last, step, margin.length);
      if (!isSteep(stretch, angles)) continue;
      found.push({ first, last, chord: chordOf(places, first, last).size });
      break;
    }
  }
  const kept: Stretch[] = [];
  const taken = new Uint8Array(PLACES);
  for (const { first, last } of found.sort((a, b) => b.chord - a.chord)) {
    const within = Array.from({ length: last - first + 1 }, (_, k) => (first + k) % PLACES);
    if (within.some((i) => taken[i] === 1)) continue;
    for (const i of within) taken[i] = 1;
    kept.push(asStretch(cornerNear(places, first), cornerNear(places, last), step, margin.length));
  }
  return kept;
}

/** The place about `end` that stands farthest out from the line between one on either side: what is straight to within a share may run past its corner. */
function cornerNear(places: Places, end: number): number {
  const reach = Math.round(CORNER * PLACES);
  const start = (end - 2 * reach + PLACES) % PLACES;
  const { dx, dy, size } = chordOf(places, start, end + 2 * reach);
  let best = end;
  let most = 0;
  for (let i = end - reach; i <= end + reach; i++) {
    const at = (i + PLACES) % PLACES;
    const out = ((places.x[at] - places.x[start]) * -dy + (places.y[at] - places.y[start]) * dx) / size;
    if (out > most) {
      most = out;
      best = at;
    }
  }
  return best;
}

/** Whether a stretch shares a place with a marked one; either may go round the tip. */
export function overlaps({ from, to }: Stretch, [start, end]: readonly [number, number]): boolean {
  const holds = (a: number, b: number, s: number): boolean => (a <= b ? s >= a && s <= b : s >= a || s <= b);
  return holds(from, to, start) || holds(from, to, end) || holds(start, end, from);
}

interface Places {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** The margin at equal steps of arc length, so that a place is a share of it. */
function evenly({ arc, x, y, length }: PlanMargin): Places {
  const n = arc.length;
  const out = { x: new Float64Array(PLACES), y: new Float64Array(PLACES) };
  let k = 0;
  for (let i = 0; i < PLACES; i++) {
    const s = (i * length) / PLACES;
    while (k + 1 < n && arc[k + 1] <= s) k++;
    const next = (k + 1) % n;
    const end = next === 0 ? length : arc[next];
    const t = end > arc[k] ? (s - arc[k]) / (end - arc[k]) : 0;
    out.x[i] = x[k] + t * (x[next] - x[k]);
    out.y[i] = y[k] + t * (y[next] - y[k]);
  }
  return out;
}

function chordOf({ x, y }: Places, from: number, to: number): { dx: number; dy: number; size: number } {
  const [a, b] = [((from % PLACES) + PLACES) % PLACES, ((to % PLACES) + PLACES) % PLACES];
  const [dx, dy] = [x[b] - x[a], y[b] - y[a]];
  return { dx, dy, size: Math.hypot(dx, dy) };
}

function isBreakLike(places: Places, first: number, last: number, least: number): boolean {
  const { dx, dy, size } = chordOf(places, first, last);
  if (size < least || Math.abs(dy) > Math.abs(dx) * Math.tan((ACROSS * Math.PI) / 180)) return false;
  const { x, y } = places;
  for (let i = first + 1; i < last; i++) {
    const [px, py] = [x[i % PLACES] - x[first], y[i % PLACES] - y[first]];
    if (Math.abs(px * dy - py * dx) > STRAIGHT * size * size) return false;
  }
  const corner = Math.round(CORNER * PLACES);
  const before = chordOf(places, first - corner, first);
  const after = chordOf(places, last, last + corner);
  return turn(before, { dx, dy }) >= TURN && turn({ dx, dy }, after) >= TURN;
}

/** By how much the way turns inward (the margin runs clockwise) from one direction to the next, degrees. */
function turn(a: { dx: number; dy: number }, b: { dx: number; dy: number }): number {
  return (-Math.atan2(a.dx * b.dy - a.dy * b.dx, a.dx * b.dx + a.dy * b.dy) * 180) / Math.PI;
}

function asStretch(first: number, last: number, step: number, length: number): Stretch {
  return { from: (first * step) % length, to: (last * step) % length };
}

function isSteep({ from, to }: Stretch, { arc, angle }: PlaceAngles): boolean {
  const known: number[] = [];
  let count = 0;
  for (let i = 0; i < arc.length; i++) {
    const inside = from <= to ? arc[i] >= from && arc[i] <= to : arc[i] >= from || arc[i] <= to;
    if (!inside) continue;
    count++;
    const degrees = angle[i];
    if (degrees !== null && !Number.isNaN(degrees)) known.push(degrees);
  }
  if (known.length < Math.max(2, KNOWN * count)) return false;
  known.sort((a, b) => a - b);
  return known[known.length >> 1] >= STEEP;
}
