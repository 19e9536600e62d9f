import { chordAt, indexChords } from '../geometry/polygonChords.ts';
import { alignRing, areaBelow, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Points3, Warning } from '../geometry/types.ts';
import type { EdgeOn, ViewQuality } from './types.ts';

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

/** A direction in the picture tells which end is the tip where the silhouette lies within 60° of it. */
const TELLING = 0.5;
/** Areas of the two ends as alike as this tell nothing; as different as that, much. */
const [ALIKE_ENDS, UNLIKE_ENDS] = [1 / 0.9, 1.25];
/** Lengths of two views of one piece may differ by this share before it is told. */
const ALIKE = 0.02;
/** Thicknesses seen from both sides may differ by this share before it is told. */
const ALIKE_THICK = 0.03;
/** Share of the length at either end that is left out of the chord: there a silhouette ends in a point. */
const END = 0.02;

/** What else is known where a silhouette is traced. */
export interface EdgeOnHints {
  /** Swap tip and base. */
  readonly flip?: boolean;
  /** Where in the plane of this view the tip of Face A points in its own picture, a unit vector. */
  readonly tipward?: readonly [x: number, y: number];
  readonly quality?: ViewQuality;
}

const EXACT: ViewQuality = { pixel: 0, noise: 0, tracing: 0, scale: 0 };

/**
 * A silhouette seen edge-on (plane mm, counter-clockwise) → greatest and least height at `stations` stations of the
 * piece's `length` in plan. The tip is the end that points as that of Face A does in its picture; where it lies across, the end
 * that holds less area. Height 0 is the chord of the middle line. Stations are matched by their share of the length, so that the
 * scale along the piece is that of the plan.
 */
export function traceEdgeOn(
  ring: Points2,
  side: EdgeOnSide,
  length: number,
  stations: number,
  { flip = false, tipward, quality = EXACT }: EdgeOnHints = {},
): SeenEdgeOn {
  const moments = polygonMoments([ring]);
  let { angle: turn } = majorAxis(moments);
  let aligned = alignRing(ring, turn, 0);
  const { min: low, max: high } = rangeY(aligned);
  const reach = 0.15 * (high - low);
  const base = areaBelow([aligned], low + reach);
  const tip = areaBelow([aligned], high) - areaBelow([aligned], high - reach);
  // The silhouette lies along (−sin, cos) of its turn.
  const upward = tipward === undefined ? 0 : tipward[1] * Math.cos(turn) - tipward[0] * Math.sin(turn);
  const told = Math.abs(upward) >= TELLING;
  const over = (told ? upward < 0 : tip > base) !== flip;
  if (over) {
    turn += Math.PI;
    aligned = alignRing(ring, turn, 0);
  }
  const { min: foot, max: top } = rangeY(aligned);
  const chords = indexChords([aligned]);
  const [ofBase, ofTip] = over ? [tip, base] : [base, tip];
  const warnings: Warning[] = endWarnings(side, told, ofTip / ofBase, flip);
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
  // What is missing of the length may be missing at either end.
  const station = Math.hypot((seen - length) / Math.sqrt(3), Math.SQRT2 * quality.noise);
  return { edgeOn: { y, faceA, faceB, quality, station }, frame, warnings };
}

/** Doubts of which end is the tip, `share` being what the end that was taken for it holds of the other's area. */
function endWarnings(side: EdgeOnSide, told: boolean, share: number, flip: boolean): Warning[] {
  if (flip) return [];
  if (told && share > UNLIKE_ENDS) {
    return [
      {
        code: 'views-differ',
        text: `Seen from the ${side} the end that points as the tip of Face A does in its picture is the larger one: check that the tip was the same way up in both, and swap the ends of the edge-on view if not.`,
      },
    ];
  }
  if (told || share < 1 / ALIKE_ENDS) return [];
  return [
    {
      code: 'views-differ',
      text: `Seen from the ${side} the piece lies across its direction in the picture of Face A, and both ends look alike: check which one is the tip, and swap the ends of the edge-on view if need be.`,
    },
  ];
}

/** The mean of what was seen from the left and from the right, which are the same silhouette mirrored. */
export function meanEdgeOn(
  one: EdgeOn,
  other: EdgeOn,
): { readonly edgeOn: EdgeOn; readonly warnings: readonly Warning[] } {
  const mean = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, k) => (v + b[k]) / 2);
  const thicknesses = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => top - faceB[k]);
  const middles = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => (top + faceB[k]) / 2);
  const first = Math.max(...thicknesses(one));
  const second = Math.max(...thicknesses(other));
  const warnings: Warning[] = mirrorWarnings(one, other, (first + second) / 2);
  if (Math.abs(first - second) > (ALIKE_THICK * (first + second)) / 2) {
    warnings.push({
      code: 'views-differ',
      text: `Seen from the left the piece is ${first.toFixed(1)} mm thick, from the right ${second.toFixed(1)} mm: check the scale of both pictures.`,
    });
  }
  const half = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, k) => Math.abs(v - b[k]) / 2);
  const [p, q] = [one.quality, other.quality];
  const both = (a: number, b: number): number => Math.sqrt((a * a + b * b) / 2);
  const edgeOn: EdgeOn = {
    y: one.y,
    faceA: mean(one.faceA, other.faceA),
    faceB: mean(one.faceB, other.faceB),
    quality: {
      pixel: both(p.pixel, q.pixel),
      noise: both(p.noise, q.noise) / Math.SQRT2,
      tracing: both(p.tracing, q.tracing),
      scale: both(p.scale, q.scale),
    },
    station: both(one.station, other.station),
    apart: {
      thickness: half(thicknesses(one), thicknesses(other)),
      middle: half(middles(one), middles(other)),
    },
  };
  return { edgeOn, warnings };
}

/** Two views that fit each other better with one of them turned about say so: tip to base, or as from the side of the other. */
function mirrorWarnings(one: EdgeOn, other: EdgeOn, thick: number): Warning[] {
  const last = one.y.length - 1;
  const away = (at: (k: number) => readonly [faceA: number, faceB: number]): number => {
    let sum = 0;
    for (let k = 0; k <= last; k++) {
      const [a, b] = at(k);
      sum += (one.faceA[k] - a) ** 2 + (one.faceB[k] - b) ** 2;
    }
    return Math.sqrt(sum / (2 * (last + 1)));
  };
  const asTold = away((k) => [other.faceA[k], other.faceB[k]]);
  const otherSide = away((k) => [-other.faceB[k], -other.faceA[k]]);
  // A picture turned by half a turn shows its faces on the other sides as well.
  const turned = away((k) => [-other.faceB[last - k], -other.faceA[last - k]]);
  const turnedSide = away((k) => [other.faceA[last - k], other.faceB[last - k]]);
  const least = Math.min(otherSide, turned, turnedSide);
  if (asTold < ALIKE_THICK * thick || least > asTold / 2) return [];
  const how =
    least === otherSide
      ? 'shown from the same side as the other'
      : least === turned
        ? 'upside down'
        : 'upside down and from the same side as the other';
  return [
    {
      code: 'views-differ',
      text: `The views from the left and from the right fit each other far better with one of them taken to be ${how}: check which is which, and that the tip was the same way up in both.`,
    },
  ];
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
