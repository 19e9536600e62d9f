import type { Points2 } from '../../src/geometry/types.ts';

/** A length axis in plan: a point on it and its direction in radians from +x (undirected). */
export interface PlanAxis {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
}

/** Area, centroid and second moments of a polygon about its centroid, by Green's theorem. mm. */
export function moments(p: Points2) {
  const n = p.length / 2;
  let [a, sx, sy, sxx, sxy, syy] = [0, 0, 0, 0, 0, 0];
  // About the first point, so that a far-off polygon loses no digits.
  const [ox, oy] = [p[0], p[1]];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [x0, y0, x1, y1] = [p[2 * i] - ox, p[2 * i + 1] - oy, p[2 * j] - ox, p[2 * j + 1] - oy];
    const cross = x0 * y1 - x1 * y0;
    a += cross / 2;
    sx += (cross * (x0 + x1)) / 6;
    sy += (cross * (y0 + y1)) / 6;
    sxx += (cross * (x0 * x0 + x0 * x1 + x1 * x1)) / 12;
    syy += (cross * (y0 * y0 + y0 * y1 + y1 * y1)) / 12;
    sxy += (cross * (2 * x0 * y0 + x0 * y1 + x1 * y0 + 2 * x1 * y1)) / 24;
  }
  const [mx, my] = [sx / a, sy / a];
  return {
    area: a,
    x: mx + ox,
    y: my + oy,
    xx: sxx - a * mx * mx,
    xy: sxy - a * mx * my,
    yy: syy - a * my * my,
  };
}

/** Major axis of the area's second moments through the area's centroid. */
export function principalAxis(p: Points2): PlanAxis {
  const m = moments(p);
  return { x: m.x, y: m.y, angle: Math.atan2(2 * m.xy, m.xx - m.yy) / 2 };
}

/** Through the two vertices furthest apart, found by trying all pairs. */
export function longestAxis(p: Points2): PlanAxis {
  const n = p.length / 2;
  let best = -1;
  let axis = { x: 0, y: 0, angle: 0 };
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const dx = p[2 * j] - p[2 * i];
      const dy = p[2 * j + 1] - p[2 * i + 1];
      if (dx * dx + dy * dy > best) {
        best = dx * dx + dy * dy;
        axis = { x: p[2 * i], y: p[2 * i + 1], angle: Math.atan2(dy, dx) };
      }
    }
  }
  return axis;
}

/** To these, in radians and in shares of half the plan's size, the place of the least difference is known before its valley is followed. */
const [TURN_REACH, SHIFT_REACH] = [0.003, 0.02];

/**
 * The line whose reflection leaves the least symmetric difference, within ±25° of `principal`. A reflection maps each
 * line square to the axis onto itself, so the difference is summed line by line: no polygon clipping. Steps to eight sides
 * come near; they stall in a valley that runs aslant, so that its floor is then followed: for each turn the best of shifts.
 */
export function mirrorAxis(p: Points2): PlanAxis {
  const start = principalAxis(p);
  const limit = (25 * Math.PI) / 180;
  const half = Math.sqrt(moments(p).area) / 2;
  const cost = (turn: number, shift: number, perSlab: number, skip = 1) =>
    symmetricDifference(intoAxis(p, { ...start, angle: start.angle + turn }), shift, perSlab, skip);
  let best = { turn: 0, shift: 0, cost: Infinity };
  for (let i = -25; i <= 25; i++) {
    for (let j = -6; j <= 6; j++) {
      const turn = (i / 25) * limit;
      const shift = (j / 6) * 0.25 * half;
      const c = cost(turn, shift, 1, 6);
      if (c < best.cost) best = { turn, shift, cost: c };
    }
  }
  best.cost = cost(best.turn, best.shift, 4);
  for (let reach = 1; reach > 0.03; ) {
    let moved = false;
    for (let k = 0; k < 8 && !moved; k++) {
      const turn = best.turn + reach * 0.02 * Math.cos((k * Math.PI) / 4);
      const shift = best.shift + reach * 0.04 * half * Math.sin((k * Math.PI) / 4);
      if (Math.abs(turn) > limit) continue;
      const c = cost(turn, shift, 4);
      if (c < best.cost) {
        best = { turn, shift, cost: c };
        moved = true;
      }
    }
    if (!moved) reach /= 2;
  }
  const floor = (turn: number) => {
    const at = differenceByShift(intoAxis(p, { ...start, angle: start.angle + turn }), 4);
    const shift = goldenLowest(
      at,
      best.shift - SHIFT_REACH * half,
      best.shift + SHIFT_REACH * half,
      1e-6 * half,
    );
    return { shift, cost: at(shift) };
  };
  const turn = goldenLowest(
    (turn) => floor(turn).cost,
    Math.max(-limit, best.turn - TURN_REACH),
    Math.min(limit, best.turn + TURN_REACH),
    1e-6,
  );
  const { shift } = floor(turn);
  const angle = start.angle + turn;
  // +x of the axis frame (to the right of the axis direction) is (sin, −cos).
  return { x: start.x + shift * Math.sin(angle), y: start.y - shift * Math.cos(angle), angle };
}

/** Where a function that falls and then rises between two places is least, to a tolerance: golden sections. */
function goldenLowest(f: (x: number) => number, low: number, high: number, tolerance: number): number {
  const share = (Math.sqrt(5) - 1) / 2;
  let [a, b] = [low, high];
  let [left, right] = [b - share * (b - a), a + share * (b - a)];
  let [ofLeft, ofRight] = [f(left), f(right)];
  while (b - a > tolerance) {
    if (ofLeft < ofRight) {
      [b, right, ofRight] = [right, left, ofLeft];
      left = b - share * (b - a);
      ofLeft = f(left);
    } else {
      [a, left, ofLeft] = [left, right, ofRight];
      right = a + share * (b - a);
      ofRight = f(right);
    }
  }
  return (a + b) / 2;
}

/** Polygon in the frame of an axis: axis along +y through x = 0, +x to its right. */
export function intoAxis(p: Points2, axis: PlanAxis): Points2 {
  const [c, s] = [Math.cos(axis.angle), Math.sin(axis.angle)];
  const q = new Float64Array(p.length);
  for (let i = 0; i < p.length; i += 2) {
    const dx = p[i] - axis.x;
    const dy = p[i + 1] - axis.y;
    q[i] = dx * s - dy * c;
    q[i + 1] = dx * c + dy * s;
  }
  return q;
}

/** Crossings of a polygon with horizontal lines y = ys[k], each list sorted: pairs of them are chords. */
export function crossings(q: Points2, ys: ArrayLike<number>): number[][] {
  const n = q.length / 2;
  const lists: number[][] = Array.from({ length: ys.length }, () => []);
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    let [x0, y0, x1, y1] = [q[2 * i], q[2 * i + 1], q[2 * j], q[2 * j + 1]];
    if (y0 > y1) [x0, y0, x1, y1] = [x1, y1, x0, y0];
    // Half-open in y: a vertex on a line counts once.
    for (let k = lowerBound(ys, y0); k < ys.length && ys[k] < y1; k++) {
      lists[k].push(x0 + ((ys[k] - y0) / (y1 - y0)) * (x1 - x0));
    }
  }
  for (const list of lists) list.sort((a, b) => a - b);
  return lists;
}

function lowerBound(ys: ArrayLike<number>, y: number): number {
  let [low, high] = [0, ys.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ys[middle] < y) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * Area of P Δ P′ for a reflection in the line x = shift. Between the heights of two neighbouring vertices nothing begins or
 * ends, so lines within such slabs see the whole: `perSlab` lines to a slab, or every `skip`-th vertex height for speed.
 */
export function symmetricDifference(q: Points2, shift: number, perSlab: number, skip = 1): number {
  return differenceByShift(q, perSlab, skip)(shift);
}

/** The same as a function of the shift. */
function differenceByShift(q: Points2, perSlab: number, skip = 1): (shift: number) => number {
  const { ys, weights } = slabLines(q, perSlab, skip);
  const lists = crossings(q, ys);
  return (shift) => differenceOf(lists, weights, shift);
}

function differenceOf(lists: readonly number[][], weights: readonly number[], shift: number): number {
  let sum = 0;
  lists.forEach((list, line) => {
    if (list.length === 2) {
      // What two intervals of one length do not share lies at either end of both.
      sum += weights[line] * 2 * Math.min(list[1] - list[0], Math.abs(list[0] + list[1] - 2 * shift));
      return;
    }
    // Inside P after an odd number of crossings; inside P′ likewise: merge both lists and sum where they differ.
    const marks = [
      ...list.map((x) => ({ x, own: true })),
      ...list.map((x) => ({ x: 2 * shift - x, own: false })),
    ].sort((a, b) => a.x - b.x);
    let [own, other] = [false, false];
    for (let k = 0; k < marks.length; k++) {
      if (own !== other) sum += weights[line] * (marks[k].x - marks[k - 1].x);
      if (marks[k].own) own = !own;
      else other = !other;
    }
  });
  return sum;
}

function slabLines(q: Points2, perSlab: number, skip: number): { ys: number[]; weights: number[] } {
  const heights = q.filter((_, i) => i % 2 === 1).sort();
  const ys: number[] = [];
  const weights: number[] = [];
  const last = heights.length - 1;
  for (let i = 0; i < last; i += skip) {
    const [low, high] = [heights[i], heights[Math.min(i + skip, last)]];
    for (let k = 0; k < perSlab; k++) {
      ys.push(low + ((k + 0.5) / perSlab) * (high - low));
      weights.push((high - low) / perSlab);
    }
  }
  return { ys, weights };
}
