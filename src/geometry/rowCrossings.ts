import type { Points2 } from './types.ts';

/** Where level rows cross rings, in a frame turned by some angle. */
export interface Rows {
  /** Crossings of each row, ascending, one after another; row r owns start[r]…start[r + 1]. */
  readonly x: Float64Array;
  readonly start: Uint32Array;
  /** Height of each row. */
  readonly height: Float64Array;
  /** Sum of interval lengths × row heights: the area. */
  readonly total: number;
}

/**
 * Memory that crossings are worked out in. Handed from one call to the next it is used again: what a call gave is then
 * overwritten by the one after it.
 */
export class Room {
  private readonly floats: Float64Array[] = [];
  private readonly wholes: Uint32Array[] = [];
  private nextFloats = 0;
  private nextWholes = 0;

  /** Everything may be used again. */
  clear(): void {
    this.nextFloats = 0;
    this.nextWholes = 0;
  }

  /** So many numbers, of any value. */
  numbers(count: number): Float64Array {
    const at = this.nextFloats++;
    if (at >= this.floats.length) this.floats.push(new Float64Array(count));
    else if (this.floats[at].length < count) this.floats[at] = new Float64Array(count + (count >> 2));
    return this.floats[at].subarray(0, count);
  }

  /** So many whole numbers, of any value. */
  places(count: number): Uint32Array {
    const at = this.nextWholes++;
    if (at >= this.wholes.length) this.wholes.push(new Uint32Array(count));
    else if (this.wholes[at].length < count) this.wholes[at] = new Uint32Array(count + (count >> 2));
    return this.wholes[at].subarray(0, count);
  }
}

/**
 * Crossings of the rings with about `count` rows in the frame whose +y is the direction `angle`: rows of equal height, or
 * with borders at the vertices too, so that every interval's ends run straight through each row; vertices within the share
 * `apart` of a row of equal height have one border, unless an edge there is nearly level: along such a one an end runs far
 * within little height, and rows that pass over its vertices as they come give areas that jump as the rings turn.
 */
export function crossings(
  rings: readonly Points2[],
  angle: number,
  count: number,
  apart?: number,
  room: Room = new Room(),
): Rows {
  room.clear();
  const turnedRings: Float64Array[] = [];
  for (const ring of rings) turnedRings.push(turnedRing(ring, angle, room));
  const { y, height } = rowsOver(turnedRings, count, apart, room);
  const start = room.places(y.length + 1).fill(0);
  const ranks: Uint32Array[] = [];
  for (const ring of turnedRings) {
    const rank = ranksOf(ring, y, room);
    countCrossings(rank, start, room);
    ranks.push(rank);
  }
  const fill = room.places(start.length);
  fill.set(start);
  const x = room.numbers(start[y.length]);
  for (let k = 0; k < ranks.length; k++) fillCrossings(turnedRings[k], ranks[k], y, fill, x);
  return { x, start, height, total: sortRows(x, start, height) };
}

/** So few crossings are put in order one by one. */
const FEW = 24;

/** Brings the crossings of each row into order; returns the sum of interval lengths × row heights. */
function sortRows(x: Float64Array, start: Uint32Array, height: Float64Array): number {
  let total = 0;
  for (let r = 0; r < height.length; r++) {
    const from = start[r];
    const to = start[r + 1];
    if (to - from > FEW) x.subarray(from, to).sort();
    else {
      for (let k = from + 1; k < to; k++) {
        const one = x[k];
        let at = k;
        for (; at > from && x[at - 1] > one; at--) x[at] = x[at - 1];
        x[at] = one;
      }
    }
    for (let k = from; k + 1 < to; k += 2) total += height[r] * (x[k + 1] - x[k]);
  }
  return total;
}

/** The first row at or above each vertex. A row belongs to an edge from its lower end on, upper end excluded: a row through a vertex counts it once. */
function ranksOf(ring: Float64Array, y: Float64Array, room: Room): Uint32Array {
  const rows = y.length;
  const low = y[0];
  const perRow = rows > 1 ? (rows - 1) / (y[rows - 1] - low) : 0;
  // The first row of each of as many equal steps: from there it is a few rows at most.
  const first = room.places(rows + 1);
  for (let k = 0, r = 0; k <= rows; k++) {
    while (r < rows && (y[r] - low) * perRow < k) r++;
    first[k] = r;
  }
  const rank = room.places(ring.length / 2);
  for (let i = 0; i < rank.length; i++) {
    const level = ring[2 * i + 1];
    let r = first[Math.min(rows, Math.max(0, Math.floor((level - low) * perRow)))];
    while (r > 0 && y[r - 1] >= level) r--;
    while (r < rows && y[r] < level) r++;
    rank[i] = r;
  }
  return rank;
}

/** Adds to `start` (where each row's crossings begin) those of one ring. */
function countCrossings(rank: Uint32Array, start: Uint32Array, room: Room): void {
  // Below 0 a whole number comes round, and back again.
  const steps = room.places(start.length).fill(0);
  let last = rank[rank.length - 1];
  for (const next of rank) {
    steps[Math.min(last, next)]++;
    steps[Math.max(last, next)]--;
    last = next;
  }
  let over = 0;
  let sum = 0;
  for (let r = 0; r + 1 < start.length; r++) {
    over = (over + steps[r]) | 0;
    sum += over;
    start[r + 1] += sum;
  }
}

function fillCrossings(
  ring: Float64Array,
  rank: Uint32Array,
  y: Float64Array,
  fill: Uint32Array,
  x: Float64Array,
): void {
  const n = rank.length;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const from = Math.min(rank[i], rank[j]);
    const to = Math.max(rank[i], rank[j]);
    if (from === to) continue;
    const x0 = ring[2 * j];
    const y0 = ring[2 * j + 1];
    const slope = (ring[2 * i] - x0) / (ring[2 * i + 1] - y0);
    for (let r = from; r < to; r++) x[fill[r]++] = x0 + slope * (y[r] - y0);
  }
}

/** In the frame whose +y is the direction `angle`, (−sin, cos); to its right (cos, sin). */
function turnedRing(ring: Points2, angle: number, room: Room): Float64Array {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const out = room.numbers(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    out[i] = ring[i] * c + ring[i + 1] * s;
    out[i + 1] = -ring[i] * s + ring[i + 1] * c;
  }
  return out;
}

/** Middles and heights of the rows, bottom up. */
function rowsOver(
  rings: readonly Float64Array[],
  count: number,
  apart: number | undefined,
  room: Room,
): { y: Float64Array; height: Float64Array } {
  const { low, high, borders } = bordersOf(rings, apart === undefined ? Infinity : count / apart, room);
  const step = (high - low) / count;
  const most = borders.length + count + 2;
  const y = room.numbers(most);
  const height = room.numbers(most);
  let rows = 0;
  let from = low;
  for (let border = 0; border < borders.length; border++) {
    const to = borders[border];
    const parts = Math.max(1, Math.ceil((to - from) / step - 1e-9));
    for (let k = 0; k < parts; k++, rows++) {
      y[rows] = from + ((k + 0.5) / parts) * (to - from);
      height[rows] = (to - from) / parts;
    }
    from = to;
  }
  return { y: y.subarray(0, rows), height: height.subarray(0, rows) };
}

/** Most slots in which vertices are looked up rather than sorted. */
const MOST_SLOTS = 1 << 17;

/** Levels of the vertices above the lowest, upwards, one in each `slots`-th of the height (the highest alone where that is not finite). */
function bordersOf(
  rings: readonly Float64Array[],
  slots: number,
  room: Room,
): { low: number; high: number; borders: Float64Array } {
  let low = Infinity;
  let high = -Infinity;
  let count = 0;
  for (const ring of rings) {
    count += ring.length / 2;
    for (let i = 1; i < ring.length; i += 2) {
      if (ring[i] < low) low = ring[i];
      if (ring[i] > high) high = ring[i];
    }
  }
  if (slots === Infinity) return { low, high, borders: Float64Array.of(high) };
  const levels =
    slots > MOST_SLOTS
      ? orderedLevels(levelsOf(rings, count, room), low, high, room)
      : orderedLevels(fewerLevels(rings, low, high, slots, count, room), low, high, room);
  const apart = (high - low) / Math.max(slots, MOST_SLOTS);
  const borders = room.numbers(levels.length + 1);
  let kept = 0;
  let border = low;
  for (let k = 0; k < levels.length; k++) {
    const level = levels[k];
    // What is lost between vertices almost level with each other lies within a sliver.
    if (level - border < apart) continue;
    borders[kept++] = border = level;
  }
  if (border < high) borders[kept++] = high;
  return { low, high, borders: borders.subarray(0, kept) };
}

/** Levels in order: by as many equal steps of the height as there are, and within each one by one. */
function orderedLevels(levels: Float64Array, low: number, high: number, room: Room): Float64Array {
  const count = levels.length;
  const per = (count - 1) / (high - low);
  if (!Number.isFinite(per)) return levels.sort();
  const next = room.places(count + 1).fill(0);
  for (let k = 0; k < count; k++) next[Math.floor((levels[k] - low) * per) + 1]++;
  let most = 0;
  for (let step = 1; step <= count; step++) {
    if (next[step] > most) most = next[step];
    next[step] += next[step - 1];
  }
  if (most > FEW) return levels.sort();
  const ordered = room.numbers(count);
  for (let k = 0; k < count; k++) ordered[next[Math.floor((levels[k] - low) * per)]++] = levels[k];
  // No value is farther from its place than its step has values.
  for (let k = 1; k < count; k++) {
    const one = ordered[k];
    let at = k;
    for (; at > 0 && ordered[at - 1] > one; at--) ordered[at] = ordered[at - 1];
    ordered[at] = one;
  }
  return ordered;
}

function levelsOf(rings: readonly Float64Array[], count: number, room: Room): Float64Array {
  const levels = room.numbers(count);
  let at = 0;
  for (const ring of rings) for (let i = 1; i < ring.length; i += 2) levels[at++] = ring[i];
  return levels;
}

/** An edge is nearly level where it runs so many times as far across as up. */
const NEARLY_LEVEL = 4;

/** The lowest vertex in each slot that has one, and all those at nearly level edges. */
function fewerLevels(
  rings: readonly Float64Array[],
  low: number,
  high: number,
  slots: number,
  count: number,
  room: Room,
): Float64Array {
  const lowest = room.numbers(slots).fill(Infinity);
  const kept = room.numbers(slots + count);
  const per = slots / (high - low);
  let n = 0;
  for (const ring of rings) {
    let x = ring[ring.length - 2];
    let y = ring[ring.length - 1];
    let wasLevel = false;
    for (let i = 0; i < ring.length; i += 2) {
      const nextX = ring[i];
      const nextY = ring[i + 1];
      const isLevel = Math.abs(nextX - x) > NEARLY_LEVEL * Math.abs(nextY - y);
      if (isLevel) {
        if (!wasLevel) kept[n++] = y;
        kept[n++] = nextY;
      } else {
        const slot = Math.min(slots - 1, Math.floor((nextY - low) * per));
        if (nextY < lowest[slot]) lowest[slot] = nextY;
      }
      x = nextX;
      y = nextY;
      wasLevel = isLevel;
    }
  }
  for (let k = 0; k < slots; k++) if (lowest[k] < Infinity) kept[n++] = lowest[k];
  return kept.subarray(0, n);
}
