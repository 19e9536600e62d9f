import type { Points2 } from './types.ts';

/** Edges in a row that are passed over together where even the box round them is too far away. */
const TOGETHER = 32;

/** A point of a ring, and the square of its distance from the place that was asked about. */
export interface Nearest {
  readonly x: number;
  readonly y: number;
  readonly squared: number;
}

/** Distance from (x, y) to the nearest point of a closed ring. O(points): for many places see `nearestOnRing`. */
export function distanceToRing(ring: Points2, x: number, y: number): number {
  return Math.sqrt(nearestOfEdges(ring, 0, ring.length, x, y, FARTHEST).squared);
}

/** Answers which point of a closed ring is nearest to a place: O(points / 32) as a rule. */
export function nearestOnRing(ring: Points2): (x: number, y: number) => Nearest {
  const boxes = boxesOf(ring);
  const last = new Uint32Array(1);
  return (x, y) => nearestOfBoxes(ring, boxes, last, x, y);
}

/** Places follow one another as a rule: where the `last` one was near, this one is. */
function nearestOfBoxes(
  ring: Points2,
  boxes: Float64Array,
  last: Uint32Array,
  x: number,
  y: number,
): Nearest {
  const start = last[0];
  let near = nearestOfBox(ring, start, x, y, FARTHEST);
  for (let at = 0; at < boxes.length; at += 4) {
    const dx = Math.max(0, boxes[at] - x, x - boxes[at + 2]);
    const dy = Math.max(0, boxes[at + 1] - y, y - boxes[at + 3]);
    if (at === 4 * start || dx * dx + dy * dy >= near.squared) continue;
    const other = nearestOfBox(ring, at / 4, x, y, near);
    if (other !== near) last[0] = at / 4;
    near = other;
  }
  return near;
}

function nearestOfBox(ring: Points2, box: number, x: number, y: number, near: Nearest): Nearest {
  const from = 2 * TOGETHER * box;
  return nearestOfEdges(ring, from, Math.min(ring.length, from + 2 * TOGETHER), x, y, near);
}

const FARTHEST: Nearest = { x: NaN, y: NaN, squared: Infinity };

/** The nearest point of the edges that begin at the numbers `from` up to `to` of the ring; `near` where none is nearer. */
function nearestOfEdges(
  ring: Points2,
  from: number,
  to: number,
  x: number,
  y: number,
  near: Nearest,
): Nearest {
  let least = near.squared;
  let nearX = NaN;
  let nearY = NaN;
  for (let i = from; i < to; i += 2) {
    const j = i + 2 === ring.length ? 0 : i + 2;
    const dx = ring[j] - ring[i];
    const dy = ring[j + 1] - ring[i + 1];
    const px = x - ring[i];
    const py = y - ring[i + 1];
    const squared = dx * dx + dy * dy;
    const f = squared > 0 ? Math.min(1, Math.max(0, (px * dx + py * dy) / squared)) : 0;
    const away = (px - f * dx) ** 2 + (py - f * dy) ** 2;
    if (away >= least) continue;
    least = away;
    nearX = ring[i] + f * dx;
    nearY = ring[i + 1] + f * dy;
  }
  return least < near.squared ? { x: nearX, y: nearY, squared: least } : near;
}

/** Least x and y and greatest x and y of every so many edges. */
function boxesOf(ring: Points2): Float64Array {
  const n = ring.length / 2;
  const boxes = new Float64Array(4 * Math.ceil(n / TOGETHER));
  for (let box = 0; 4 * box < boxes.length; box++) {
    let left = Infinity;
    let low = Infinity;
    let right = -Infinity;
    let high = -Infinity;
    for (let k = TOGETHER * box; k <= Math.min(n, TOGETHER * (box + 1)); k++) {
      const i = 2 * (k % n);
      left = Math.min(left, ring[i]);
      right = Math.max(right, ring[i]);
      low = Math.min(low, ring[i + 1]);
      high = Math.max(high, ring[i + 1]);
    }
    boxes.set([left, low, right, high], 4 * box);
  }
  return boxes;
}
