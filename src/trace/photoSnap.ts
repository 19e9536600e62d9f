import type { MarkedRing } from '../geometry/polygonBrush.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Pixels } from '../intake/photoTypes.ts';
import { lightInto } from '../intake/scaleLight.ts';
import { colourEdges, type EdgeReader } from './photoEdge.ts';

/** Reach of the last two passes, pixels: narrow, so that texture beside the edge has no say. */
const LAST = 4;
/** Farthest that an edge is sought from a drawn one, pixels. */
const WIDEST = 60;
/** Readings farther from the median of their neighbours are of another edge: share of the reach. */
const STRAY = 0.375;
/** Fewer readings in a row may be chance; gaps of fewer are bridged. */
const LEAST_RUN = 8;
const GAP = 6;
/** Pixels to either side at which the step of light across an edge is read, and places at which it is known. */
const BESIDE = [3, 4, 5] as const;
const LOOKS = 200;
/** Least share of the step between piece and backdrop, as the traced outline shows it, that an edge of the piece has. */
const LIKE = 0.35;
/** Least step of linear light that counts as one. */
const LEAST_STEP = 0.01;

/**
 * Lays freshly drawn stretches of a ring (negative marks: minus the hand's uncertainty, pixels) onto edges of light that
 * run within twice `hand` of them, if these look as the traced boundary does: as much difference of colour, and the
 * same way round. Points that were laid onto an edge are marked 0. The ring runs counter-clockwise by its signed area.
 */
export function snapToLight(ring: MarkedRing, picture: Pixels, hand: number): MarkedRing {
  const marks = Float64Array.from(ring.marks);
  const points = Float64Array.from(ring.points);
  const edges = colourEdges(picture);
  const like = stepTest(ring, picture);
  for (const stretch of stretchesOf(marks)) {
    // Too short to tell an edge from chance.
    if (stretch.length < LEAST_RUN) continue;
    const wide = Math.min(WIDEST, 4 * hand);
    const from = stretch.map((i) => [points[2 * i], points[2 * i + 1]] as const);
    let read: Float64Array = new Float64Array(stretch.length);
    for (const reach of wide > LAST ? [wide, LAST, LAST] : [LAST, LAST]) {
      read = drawTo(edges, points, stretch, reach);
    }
    const found = stretch.map((i, k) => {
      const away = Math.hypot(points[2 * i] - from[k][0], points[2 * i + 1] - from[k][1]);
      return !Number.isNaN(read[k]) && away <= 2 * hand + 1 && like(points, i);
    });
    settle(points, marks, stretch, from, runsOf(found));
  }
  return { points, marks };
}

/** Unit normal of a counter-clockwise ring at a point, outward, from the chord over ±`arm` points. */
export function outward(points: Points2, i: number, arm: number): [number, number] {
  const n = points.length / 2;
  const [a, b] = [(i - arm + n) % n, (i + arm) % n];
  const [dx, dy] = [points[2 * b] - points[2 * a], points[2 * b + 1] - points[2 * a + 1]];
  const size = Math.hypot(dx, dy) || 1;
  return [dy / size, -dx / size];
}

/** Runs of points with negative marks, each in order round the ring. */
function stretchesOf(marks: Float64Array): number[][] {
  const n = marks.length;
  const first = Math.max(
    0,
    marks.findIndex((mark) => mark >= 0),
  );
  const out: number[][] = [];
  let run: number[] = [];
  for (let k = 0; k <= n; k++) {
    const i = (first + k) % n;
    if (k < n && marks[i] < 0) run.push(i);
    else if (run.length > 0) {
      out.push(run);
      run = [];
    }
  }
  return out;
}

/** Moves a stretch along its normals to the edge; what was read at each point, NaN where nothing was. */
function drawTo(edges: EdgeReader, points: Points2, stretch: readonly number[], reach: number): Float64Array {
  const arm = Math.max(2, Math.round(reach / 2));
  const normals = stretch.map((i) => outward(points, i, arm));
  const offsets = Float64Array.from(
    stretch,
    (i, k) => edges.at(points[2 * i], points[2 * i + 1], normals[k][0], normals[k][1], reach) ?? NaN,
  );
  const kept = offsets.map((offset, k) =>
    Math.abs(offset - medianAbout(offsets, k)) <= STRAY * reach ? offset : NaN,
  );
  const moves = bridged(kept);
  stretch.forEach((i, k) => {
    points[2 * i] += moves[k] * normals[k][0];
    points[2 * i + 1] += moves[k] * normals[k][1];
  });
  return kept;
}

function medianAbout(values: Float64Array, at: number): number {
  const near = Array.from(values.subarray(Math.max(0, at - 4), at + 5)).filter(
    (value) => !Number.isNaN(value),
  );
  return near.length > 0 ? near.sort((a, b) => a - b)[near.length >> 1] : NaN;
}

/** Means of five readings; short gaps filled straight, elsewhere 0. */
function bridged(read: Float64Array): Float64Array {
  const out = new Float64Array(read.length);
  let last = -1;
  for (let k = 0; k < read.length; k++) {
    if (Number.isNaN(read[k])) continue;
    let [sum, count] = [0, 0];
    for (let m = Math.max(0, k - 2); m <= Math.min(read.length - 1, k + 2); m++) {
      if (Number.isNaN(read[m])) continue;
      sum += read[m];
      count++;
    }
    out[k] = sum / count;
    if (last >= 0 && k - last <= GAP) {
      for (let m = last + 1; m < k; m++)
        out[m] = out[last] + ((out[k] - out[last]) * (m - last)) / (k - last);
    }
    last = k;
  }
  return out;
}

/** Where enough places in a row are true, short gaps counted in: first and last of each run. */
function runsOf(found: readonly boolean[]): [number, number][] {
  const runs: [number, number][] = [];
  found.forEach((is, k) => {
    if (!is) return;
    const open = runs.at(-1);
    if (open !== undefined && k - open[1] <= GAP) open[1] = k;
    else runs.push([k, k]);
  });
  return runs.filter(([from, to]) => to - from + 1 >= LEAST_RUN);
}

/** Points outside the runs go back to where they were drawn, gently beside a run; those inside are the picture's. */
function settle(
  points: Points2,
  marks: Float64Array,
  stretch: readonly number[],
  from: readonly (readonly [number, number])[],
  runs: readonly (readonly [number, number])[],
): void {
  const last = stretch.length - 1;
  const shift = stretch.map((i, k) => [points[2 * i] - from[k][0], points[2 * i + 1] - from[k][1]] as const);
  stretch.forEach((i, k) => {
    const run = runs.find(([a, b]) => k >= a && k <= b);
    if (run !== undefined) {
      marks[i] = 0;
      return;
    }
    let [dx, dy] = [0, 0];
    for (const [a, b] of runs) {
      const end = k < a ? a : b;
      // Where a run ends with the stretch the traced line goes on, and nothing leads back.
      if (end === 0 || end === last) continue;
      const size = Math.hypot(...shift[end]);
      const share = 1 - Math.abs(k - end) / (size + 1);
      if (share <= 0) continue;
      dx += share * shift[end][0];
      dy += share * shift[end][1];
    }
    points[2 * i] = from[k][0] + dx;
    points[2 * i + 1] = from[k][1] + dy;
  });
}

/** Whether the light steps across a place of a ring much as it does across the traced boundary: in colour, size and sense. */
function stepTest(ring: MarkedRing, picture: Pixels): (points: Points2, i: number) => boolean {
  const n = ring.marks.length;
  const traced = Array.from({ length: n }, (_, i) => i).filter((i) => ring.marks[i] === 0);
  const every = Math.max(1, Math.floor(traced.length / LOOKS));
  const steps = traced.filter((_, k) => k % every === 0).map((i) => stepAt(ring.points, i, picture));
  if (steps.length === 0) return () => true;
  const typical = [0, 1, 2].map((c) => steps.map((step) => step[c]).sort((a, b) => a - b)[steps.length >> 1]);
  const square = typical.reduce((sum, v) => sum + v * v, 0);
  // A boundary across which nothing steps tells no edge from a facet.
  if (square < LEAST_STEP * LEAST_STEP) return () => false;
  return (points, i) => {
    const step = stepAt(points, i, picture);
    return step.reduce((sum, v, c) => sum + v * typical[c], 0) >= LIKE * square;
  };
}

/** Linear light outside less that inside, three channels. */
function stepAt(points: Points2, i: number, picture: Pixels): number[] {
  const [nx, ny] = outward(points, i, 3);
  const [x, y] = [points[2 * i], points[2 * i + 1]];
  const step = [0, 0, 0];
  const light = [0, 0, 0];
  for (const d of BESIDE) {
    for (const sense of [1, -1]) {
      lightInto(picture, x + sense * d * nx, y + sense * d * ny, light);
      for (let c = 0; c < 3; c++) step[c] += (sense * light[c]) / BESIDE.length;
    }
  }
  return step;
}
