import { chordAt, indexChords } from '../geometry/polygonChords.ts';
import { alignRing, areaBelow, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Points3, Warning } from '../geometry/types.ts';
import type { EdgeOn } from './types.ts';

/** The side from which a piece is seen edge-on, tip up. From the left, Face A is on the right of the picture. */
export type EdgeOnSide = 'left' | 'right';

/** Where a silhouette seen edge-on lies in its plane, mm. */
export interface EdgeOnFrame {
  readonly side: EdgeOnSide;
  /** Turn by which the tip comes to point up, radians. */
  readonly turn: number;
  /** Lowest and highest place along the turned silhouette. */
  readonly foot: number;
  readonly top: number;
  /** The chord of the middle line: across = start + slope · (along − foot). */
  readonly start: number;
  readonly slope: number;
}

export interface SeenEdgeOn {
  readonly edgeOn: EdgeOn;
  readonly frame: EdgeOnFrame;
  readonly warnings: readonly Warning[];
}

/** Lengths of two views of one piece may differ by this share before it is told. */
const ALIKE = 0.02;
/** Thicknesses seen from both sides may differ by this share before it is told. */
const ALIKE_THICK = 0.03;
/** Share of the length at either end that is left out of the chord: there a silhouette ends in a point. */
const END = 0.02;

/**
 * A silhouette seen edge-on (plane mm, counter-clockwise) → greatest and least height at `stations` stations of the
 * piece's `length` in plan. The end that holds less area is the tip, unless flipped. Height 0 is the chord of the
 * middle line. Stations are matched by their share of the length, so that the scale along the piece is that of the plan.
 */
export function traceEdgeOn(
  ring: Points2,
  side: EdgeOnSide,
  length: number,
  stations: number,
  flip: boolean,
): SeenEdgeOn {
  const moments = polygonMoments([ring]);
  let { angle: turn } = majorAxis(moments);
  let aligned = alignRing(ring, turn, 0);
  const { min: low, max: high } = rangeY(aligned);
  const reach = 0.15 * (high - low);
  const base = areaBelow([aligned], low + reach);
  const tip = areaBelow([aligned], high) - areaBelow([aligned], high - reach);
  if (tip > base !== flip) {
    turn += Math.PI;
    aligned = alignRing(ring, turn, 0);
  }
  const { min: foot, max: top } = rangeY(aligned);
  const chords = indexChords([aligned]);
  const warnings: Warning[] = [];
  const seen = top - foot;
  if (Math.abs(seen / length - 1) > ALIKE) {
    warnings.push({
      code: 'views-differ',
      text: `Seen edge-on the piece is ${seen.toFixed(1)} mm long, in plan ${length.toFixed(1)} mm: check the scale of both pictures, and that the piece stood upright on its edge.`,
    });
  }
  const y = new Float64Array(stations);
  const left = new Float64Array(stations);
  const right = new Float64Array(stations);
  for (let k = 0; k < stations; k++) {
    const share = k / (stations - 1);
    y[k] = share * length;
    // The very ends are points: a hair inside them the chord is what it tends to.
    const at = foot + seen * Math.min(1 - 1e-6, Math.max(1e-6, share));
    const chord = chordAt(chords, at);
    left[k] = chord?.left ?? 0;
    right[k] = chord?.right ?? 0;
  }
  const { start, slope } = level(left, right);
  const faceA = side === 'left' ? right : left.map((v) => -v);
  const faceB = side === 'left' ? left : right.map((v) => -v);
  const frame = { side, turn, foot, top, start, slope: (slope * (stations - 1)) / seen };
  return { edgeOn: { y, faceA, faceB }, frame, warnings };
}

/** The mean of what was seen from the left and from the right, which are the same silhouette mirrored. */
export function meanEdgeOn(
  one: EdgeOn,
  other: EdgeOn,
): { readonly edgeOn: EdgeOn; readonly warnings: readonly Warning[] } {
  const mean = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, k) => (v + b[k]) / 2);
  const thick = ({ faceA, faceB }: EdgeOn): number => Math.max(...faceA.map((top, k) => top - faceB[k]));
  const first = thick(one);
  const second = thick(other);
  const warnings: Warning[] = [];
  if (Math.abs(first - second) > (ALIKE_THICK * (first + second)) / 2) {
    warnings.push({
      code: 'views-differ',
      text: `Seen from the left the piece is ${first.toFixed(1)} mm thick, from the right ${second.toFixed(1)} mm: check the scale of both pictures.`,
    });
  }
  const edgeOn = { y: one.y, faceA: mean(one.faceA, other.faceA), faceB: mean(one.faceB, other.faceB) };
  return { edgeOn, warnings };
}

/** The chord of the middle line from its lower to its upper end, in the plane, mm. */
export function edgeOnAxis({ turn, foot, top, start, slope }: EdgeOnFrame, past: number): Points2 {
  const beyond = past * (top - foot);
  const at = (along: number): [number, number] => [start + slope * along, foot + along];
  return alignRing(Float64Array.of(...at(-beyond), ...at(top - foot + beyond)), -turn, 0);
}

/** Fewer places than this along a traced edge are no line. */
const LEAST_LINE = 20;

/**
 * An edge traced in the plane (mm) → heights over y in the frame of the piece, from the base to the tip. `plan` gives
 * the x of that side's margin at a y. Undefined where it is too short to be a line.
 */
export function layEdgeLine(
  line: Points2,
  { side, turn, foot, top, start, slope }: EdgeOnFrame,
  length: number,
  plan: (y: number) => number,
): Points3 | undefined {
  const n = line.length / 2;
  if (n < LEAST_LINE) return undefined;
  const aligned = alignRing(line, turn, 0);
  const upward = aligned[1] <= aligned[2 * n - 1];
  const towardsA = side === 'left' ? 1 : -1;
  const points = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    const at = 2 * (upward ? i : n - 1 - i);
    const along = aligned[at + 1] - foot;
    const y = (along / (top - foot)) * length;
    points[3 * i] = plan(y);
    points[3 * i + 1] = y;
    points[3 * i + 2] = towardsA * (aligned[at] - start - slope * along);
  }
  return points;
}

/** Takes the chord of the middle line off both sides, in place; the chord by station. */
function level(left: Float64Array, right: Float64Array): { readonly start: number; readonly slope: number } {
  const last = left.length - 1;
  const a = Math.round(END * last);
  const b = Math.round((1 - END) * last);
  const middle = (k: number): number => (left[k] + right[k]) / 2;
  const slope = (middle(b) - middle(a)) / (b - a);
  const start = middle(a) - slope * a;
  for (let k = 0; k <= last; k++) {
    left[k] -= start + slope * k;
    right[k] -= start + slope * k;
  }
  return { start, slope };
}
