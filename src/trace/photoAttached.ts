import { maskInside } from '../geometry/polygonMask.ts';
import { polygonMoments } from '../geometry/polygonMoments.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { ALONG, distance, type Lobe, lobesOf, middleOf, type Tone, toneOf } from './photoLobes.ts';

/** What is attached is so many pixels high at least; and facets of one stone differ in brightness by so much (logarithm). */
const [LEAST_HEIGHT, FACETS] = [16, 1];
/** Shares of the way from its seam to its rim at which what is attached is looked at. */
const UP = [0.3, 0.5, 0.7];
/** The seam lies within this share of the height off the line between the two turns; its step is read over so many pixels to either side, past the blur. */
const [SEAM, STEP] = [0.4, 4];
/** At this share of places along the seam its step is of that share of what the two sides differ by. */
const [SEEN, SHARP] = [0.7, 0.6];
/** What is attached differs from the stone by so much (logarithms, colour counted twice), and no more of the stone than this is half as near to it. */
const [UNLIKE, RARE] = [0.3, 0.02];
/** About so many places inside tell the stone's colours. */
const SAMPLE = 900;

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
  let out: Float64Array | undefined;
  let stone: readonly Seen[] | undefined;
  for (const { lobe, from, points } of lobesOf(ring, -1, LEAST_HEIGHT)) {
    stone ??= insideOf(ring, picture);
    if (!isForeign(lobe, stone, picture)) continue;
    out ??= new Float64Array(n);
    for (let k = 0; k <= points; k++) {
      const i = (from + k) % n;
      out[i] = Math.max(out[i], lobe.height);
    }
  }
  return out;
}

/** Whether a lobe is of another colour than nearly all of the stone, with a sharp step between the two. */
function isForeign(lobe: Lobe, stone: readonly Seen[], picture: Pixels): boolean {
  const { x0, y0, dx, dy, wide, side, heights } = lobe;
  const toneAt = (share: number, off: number): Tone => {
    const [along, across] = [share * wide, side * off];
    return toneOf(picture, x0 + along * dx - across * dy, y0 + along * dy + across * dx);
  };
  const within = ALONG.flatMap((share, i) => UP.map((up) => toneAt(share, up * heights[i])));
  const behind = ALONG.flatMap((share, i) => UP.map((up) => toneAt(share, -up * heights[i])));
  const [own, other] = [middleOf(within), middleOf(behind)];
  const apart = distance(own, other);
  if (
    beyondFacets(own, other) < UNLIKE ||
    within.filter((tone) => distance(tone, other) < apart / 2).length > within.length / 4
  )
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

/** How far two tones differ by more than facets of one stone do, which change its brightness. */
function beyondFacets(a: Tone, b: Tone): number {
  const lighter = Math.max(a[0], b[0]);
  return distance([lighter, a[1], a[2]], [lighter - Math.max(0, Math.abs(a[0] - b[0]) - FACETS), b[1], b[2]]);
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
