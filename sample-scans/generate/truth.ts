import { convexHull } from '../../src/geometry/hull.ts';
import { polygonMoments } from '../../src/geometry/polygonMoments.ts';
import type { Points2, Points3 } from '../../src/geometry/types.ts';
import { type Column, columnsOf, rowSpans } from './columns.ts';
import { edgeTruth } from './edgeTruth.ts';
import { type HumpTruth, humpTruth, type PlannedHump } from './humpTruth.ts';
import { planOf, type SpecimenFrame, specimenFrame } from './specimenFrame.ts';
import type { Stone } from './stone.ts';

/** Grid of the volume and thickness search, mm. */
const CELL = 0.2;

export interface Truth {
  readonly frame: SpecimenFrame;
  /** By the measure's id; mm, mm², mm³, percent. */
  readonly values: Readonly<Record<string, number>>;
  readonly sections: readonly { station: number; area: number; width: number; thickness: number }[];
  readonly humps: readonly HumpTruth[];
}

/** Everything known of a piece from its own surfaces and its margin (`ring`, in the stone's coordinates). */
export function truthOf(stone: Stone, ring: Points3, planned: readonly PlannedHump[]): Truth {
  const frame = specimenFrame(ring, (f) => {
    const { above, volume } = throughout(columnsOf(stone, f.pose, f.faceA), planOf(f.ring), f.length, 0.6);
    return above >= volume / 2;
  });
  const column = columnsOf(stone, frame.pose, frame.faceA);
  const plan = planOf(frame.ring);
  const whole = throughout(column, plan, frame.length, CELL);
  const [tx, ty, thickness] = climb(column, whole.thickest);
  const width = widest(plan, frame.length);
  const area = polygonMoments([plan]).area;
  const ferets = feretsOf(plan);
  return {
    frame,
    values: {
      length: frame.length,
      width: width.width,
      'width.station': width.station,
      'feret.max': ferets.most,
      'feret.min': ferets.least,
      area,
      thickness,
      'thickness.station': (100 * ty) / frame.length,
      'thickness.offset': tx - middleAt(plan, ty),
      'thickness.box': whole.high - whole.low,
      'thickness.mean': whole.volume / area,
      'width.thickness': width.width / thickness,
      volume: whole.volume,
      'faces.balance': (100 * whole.above) / whole.volume,
      ...edgeTruth(frame.ring, frame.length),
    },
    sections: [10, 20, 30, 40, 50, 60, 70, 80, 90].map((station) =>
      sectionAt(column, plan, frame.length, station),
    ),
    humps: planned.map((hump) => humpTruth(column, frame, stone, hump)),
  };
}

interface Whole {
  readonly volume: number;
  /** Volume above the margin plane. */
  readonly above: number;
  readonly high: number;
  readonly low: number;
  readonly thickest: readonly [number, number];
}

/** Midpoint sums over the outline. The thickness falls to zero at the margin, so cells cut by it cost next to nothing. */
function throughout(column: Column, plan: Points2, length: number, cell: number): Whole {
  let [volume, above, high, low, best] = [0, 0, -Infinity, Infinity, 0];
  let thickest: readonly [number, number] = [0, 0];
  const rows = Math.ceil(length / cell);
  const rise = length / rows;
  for (let j = 0; j < rows; j++) {
    const y = (j + 0.5) * rise;
    for (const [a, b] of rowSpans(plan, y)) {
      const count = Math.max(4, Math.ceil((b - a) / cell));
      const run = (b - a) / count;
      for (let i = 0; i < count; i++) {
        const x = a + (i + 0.5) * run;
        const [top, bottom] = column(x, y);
        const thick = Math.max(0, top - bottom);
        volume += thick * run * rise;
        if (top > bottom) above += (Math.max(0, top) - Math.max(0, bottom)) * run * rise;
        high = Math.max(high, top);
        low = Math.min(low, bottom);
        if (thick > best) [best, thickest] = [thick, [x, y]];
      }
    }
  }
  return { volume, above, high, low, thickest };
}

/** Walks uphill in thickness from a grid point, in ever smaller steps. Returns x, y and the thickness there. */
function climb(column: Column, start: readonly [number, number]): readonly [number, number, number] {
  const thick = (x: number, y: number): number => {
    const [top, bottom] = column(x, y);
    return top - bottom;
  };
  let [x, y] = start;
  let best = thick(x, y);
  for (let step = CELL; step > 1e-4; step /= 2) {
    for (let moves = 0, moved = true; moved && moves < 50; moves++) {
      moved = false;
      for (let way = 0; way < 8; way++) {
        const nx = x + step * Math.cos((way * Math.PI) / 4);
        const ny = y + step * Math.sin((way * Math.PI) / 4);
        const t = thick(nx, ny);
        if (t > best) [best, x, y, moved] = [t, nx, ny, true];
      }
    }
  }
  return [x, y, best];
}

function widest(plan: Points2, length: number): { width: number; station: number } {
  let width = 0;
  let station = 0;
  // Widths peak at margin vertices: the ring's own heights are enough to look at.
  for (let i = 1; i < plan.length; i += 2) {
    const spans = rowSpans(plan, plan[i] + 1e-9);
    if (spans.length === 0) continue;
    const w = spans.at(-1)![1] - spans[0][0];
    if (w > width) [width, station] = [w, (100 * plan[i]) / length];
  }
  return { width, station };
}

export function middleAt(plan: Points2, y: number): number {
  const spans = rowSpans(plan, y);
  return (spans[0][0] + spans.at(-1)![1]) / 2;
}

function feretsOf(plan: Points2): { most: number; least: number } {
  const hull = convexHull(plan);
  const n = hull.length / 2;
  let most = 0;
  let least = Infinity;
  for (let i = 0; i < n; i++) {
    const [ax, ay] = [hull[2 * i], hull[2 * i + 1]];
    const j = (i + 1) % n;
    const edge = Math.hypot(hull[2 * j] - ax, hull[2 * j + 1] - ay);
    let far = 0;
    for (let k = 0; k < n; k++) {
      const [dx, dy] = [hull[2 * k] - ax, hull[2 * k + 1] - ay];
      most = Math.max(most, Math.hypot(dx, dy));
      far = Math.max(far, ((hull[2 * j] - ax) * dy - (hull[2 * j + 1] - ay) * dx) / edge);
    }
    least = Math.min(least, far);
  }
  return { most, least };
}

function sectionAt(
  column: Column,
  plan: Points2,
  length: number,
  station: number,
): { station: number; area: number; width: number; thickness: number } {
  const y = (station / 100) * length;
  const spans = rowSpans(plan, y);
  let area = 0;
  let thickness = 0;
  for (const [a, b] of spans) {
    const count = Math.ceil((b - a) / 0.02);
    const run = (b - a) / count;
    for (let i = 0; i < count; i++) {
      const [top, bottom] = column(a + (i + 0.5) * run, y);
      area += Math.max(0, top - bottom) * run;
      thickness = Math.max(thickness, top - bottom);
    }
  }
  return { station, area, width: spans.at(-1)![1] - spans[0][0], thickness };
}
