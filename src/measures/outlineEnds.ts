import { type Circle, fitCircle } from '../geometry/circleFit.ts';
import { planarCurve, sampleCurve } from '../geometry/curvePlanar.ts';
import { type Chord, type ChordIndex, chordAt } from '../geometry/polygonChords.ts';
import { addSegment, fitLine, type LineFit, segmentMoments } from '../geometry/totalLeastSquares.ts';
import type { Points2 } from '../geometry/types.ts';
import type { Model } from '../trace/types.ts';
import { independentPoints, outlineComponents } from './outlineError.ts';
import { chordAtStation, type Plan } from './outlinePlan.ts';
import type { Value } from './types.ts';
import { none } from './values.ts';

/** The tip angle is fitted between these shares of the length below the tip, the tip radius within the first. */
const TIP_NEAR = 0.02;
const TIP_FAR = 0.15;
/** The base is taken between the margins at this station. */
export const BASE_STATION = 5;
const ROWS = 260;
const ARC_POINTS = 96;
const BASE_COLUMNS = 200;
const DEGREES = 180 / Math.PI;

export interface TipLines {
  readonly left: LineFit;
  readonly right: LineFit;
}

/** Total-least-squares lines through the left and right margins below the tip; null where the margins have no length. */
export function fitTipLines(chords: ChordIndex, length: number): TipLines | null {
  const left = segmentMoments();
  const right = segmentMoments();
  let last = chordAt(chords, (1 - TIP_FAR) * length);
  for (let k = 1; k <= ROWS; k++) {
    const chord = chordAt(chords, length * (1 - TIP_FAR + ((TIP_FAR - TIP_NEAR) * k) / ROWS));
    if (chord !== null && last !== null) {
      addSegment(left, last.left, last.y, chord.left, chord.y);
      addSegment(right, last.right, last.y, chord.right, chord.y);
    }
    last = chord;
  }
  return left[0] > 0 && right[0] > 0 ? { left: fitLine(left), right: fitLine(right) } : null;
}

/** Angle in degrees between the lines through the left and right margins; negative where they part. */
export function tipAngle({ length, quality }: Model, plan: Plan): Value {
  const lines = fitTipLines(plan.chords, length);
  if (lines === null) return none('the margins near the tip have no length');
  const { left: leftLine, right: rightLine } = lines;
  const angle = leanRight(leftLine.direction) - leanRight(rightLine.direction);
  // A line through n points over a span s turns by √12 / (s·√n) for one mm of error in each.
  const turn = (line: { length: number }): number => Math.sqrt(12) / line.length;
  const slope = Math.hypot(turn(leftLine), turn(rightLine)) * DEGREES;
  const points = independentPoints(quality, Math.min(leftLine.length, rightLine.length));
  return { value: angle * DEGREES, components: outlineComponents(quality, slope, points) };
}

/** Angle in radians from +y towards +x of a line whose direction is given against the x axis. */
function leanRight(direction: number): number {
  const dx = Math.cos(direction);
  const dy = Math.sin(direction);
  return dy >= 0 ? Math.atan2(dx, dy) : Math.atan2(-dx, -dy);
}

/** Circle of least squared distance to the margin around the tip, and the length of that margin, mm. */
export function fitTipCircle(outer: Points2, length: number): { circle: Circle | null; arc: number } {
  const curve = planarCurve(outer);
  const level = (1 - TIP_NEAR) * length;
  const { points, arc } = curve;
  const n = arc.length;
  let top = 0;
  for (let i = 1; i < n; i++) if (points[2 * i + 1] > points[2 * top + 1]) top = i;
  const ends = [1, n - 1].map((step) => {
    let i = top;
    for (let k = 0; k < n; k++) {
      const next = (i + step) % n;
      if (points[2 * next + 1] < level) {
        const f = (points[2 * i + 1] - level) / (points[2 * i + 1] - points[2 * next + 1]);
        const [a, b] = step === 1 ? [i, next] : [next, i];
        const end = b === 0 ? curve.length : arc[b];
        return step === 1 ? arc[a] + f * (end - arc[a]) : end - f * (end - arc[a]);
      }
      i = next;
    }
    return arc[top];
  });
  const to = ends[0] < ends[1] ? ends[0] + curve.length : ends[0];
  return { circle: fitCircle(sampleCurve(curve, ends[1], to, ARC_POINTS)), arc: to - ends[1] };
}

/** Radius in mm of the circle fitted to the margin around the tip. */
export function tipRadius({ length, quality, outline }: Model): Value {
  const { circle, arc } = fitTipCircle(outline.outer, length);
  if (circle === null || circle.radius > 20 * length) return none('the tip runs straight across');
  if (circle.y > length) return none('the tip is hollow');
  // The sagitta of the arc is what errors act on: r = c²/8s, so that dr = r·ds/s.
  const half = Math.min(circle.radius, arc / 2);
  const sagitta = circle.radius - Math.sqrt(Math.max(0, circle.radius ** 2 - half ** 2));
  const slope = sagitta > 0 ? circle.radius / sagitta : 0;
  const count = independentPoints(quality, arc);
  return { value: circle.radius, components: outlineComponents(quality, slope, count) };
}

/**
 * The even part of the parabola fitted by least squares to the base below the chord (y = middle + bend·t², t from −1 to
 * 1 along the chord), mm.
 */
export function fitBase(outer: Points2, { left, right, y }: Chord): { middle: number; bend: number } {
  const floor = lowestAlong(outer, left, right, y);
  // Moments of t over [−1, 1] at the columns' middles; heights against 1, t, t²: only the even part is needed.
  let n = 0;
  let s2 = 0;
  let s4 = 0;
  let h0 = 0;
  let h2 = 0;
  for (let k = 0; k < BASE_COLUMNS; k++) {
    const t = (2 * (k + 0.5)) / BASE_COLUMNS - 1;
    n += 1;
    s2 += t * t;
    s4 += t ** 4;
    h0 += floor[k];
    h2 += t * t * floor[k];
  }
  const bend = (n * h2 - s2 * h0) / (n * s4 - s2 * s2);
  return { middle: (h0 - bend * s2) / n, bend };
}

/**
 * Sagitta of the base over the chord between the margins at station 5, as a share of that chord: of the parabola fitted
 * by least squares to the base below or above the chord, so that a straight base is 0 even where its corners are round.
 */
export function baseShape(model: Model, plan: Plan): Value {
  const ends = chordAtStation(plan, model.length, BASE_STATION);
  const chord = ends.right - ends.left;
  if (!(chord > 0)) return none('the outline has no width at station 5');
  const { bend } = fitBase(model.outline.outer, ends);
  const points = independentPoints(model.quality, chord);
  return { value: bend / chord, components: outlineComponents(model.quality, Math.sqrt(11) / chord, points) };
}

/** Lowest y of the ring over the middles of equal columns of [left, right]; `level` where no edge passes. */
function lowestAlong(ring: Float64Array, left: number, right: number, level: number): Float64Array {
  const floor = new Float64Array(BASE_COLUMNS).fill(Infinity);
  const scale = BASE_COLUMNS / (right - left);
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const j = i + 2 === n ? 0 : i + 2;
    const a = (ring[i] - left) * scale - 0.5;
    const b = (ring[j] - left) * scale - 0.5;
    if (a === b) continue;
    const first = Math.max(0, Math.ceil(Math.min(a, b)));
    const end = Math.min(BASE_COLUMNS - 1, Math.floor(Math.max(a, b)));
    for (let k = first; k <= end; k++) {
      const y = ring[i + 1] + ((ring[j + 1] - ring[i + 1]) * (k - a)) / (b - a);
      if (y < floor[k]) floor[k] = y;
    }
  }
  return floor.map((y) => (Number.isFinite(y) ? y : level));
}
