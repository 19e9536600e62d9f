import { chordAt, indexChords } from '../geometry/polygonChords.ts';
import { alignRing, areaBelow, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Points3, Warning } from '../geometry/types.ts';
import {
  type CameraOver,
  type LaidAlong,
  LEANS,
  layAlong,
  placeOfSeen,
  seenAt,
  thicknessAslant,
} from './aslant.ts';
import type { EdgeOn, Midline, ViewQuality } from './types.ts';

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
  /** Where the base and the tip of the piece itself are along it: beside those, where it is seen aslant. */
  readonly base: number;
  readonly tip: number;
  /** The camera over the plane, where its place is known, in the turned frame. */
  readonly camera?: CameraOver;
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
  /** The camera over the plane of the silhouette, half a width over what the piece stands on. */
  readonly camera?: CameraOver;
}

/** The plan of a piece that stands on its edge, in the specimen frame, mm. */
export interface StandingPlan {
  readonly outer: Points2;
  readonly midline: Midline;
  readonly length: number;
}

const EXACT: ViewQuality = { pixel: 0, noise: 0, tracing: 0, scale: 0 };

/**
 * A silhouette seen edge-on (plane mm, counter-clockwise) → greatest and least height at the stations of the plan's midline. The tip is the end that points as that of Face A does in its picture; where it lies across, the end
 * that holds less area. Height 0 is the chord of the middle line. Stations are matched by their share of the length, so that the
 * scale along the piece is that of the plan. Where the camera's place is known, what the silhouette shows aslant is taken out:
 * of the ends and the middle line by how the plan stands on its edge, of the thickness by `thicknessAslant`.
 */
export function traceEdgeOn(
  ring: Points2,
  side: EdgeOnSide,
  plan: StandingPlan,
  { flip = false, tipward, quality = EXACT, camera }: EdgeOnHints = {},
): SeenEdgeOn {
  const { length, midline } = plan;
  const stations = midline.y.length;
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
  const turned = camera === undefined ? undefined : turnedCamera(camera, turn);
  const stand = standing(plan, side, [foot, top], turned);
  const seen = top - foot;
  const long = stand.to - stand.from;
  if (Math.abs(seen / long - 1) > ALIKE) {
    const aslant = turned === undefined ? '' : ' as seen from there';
    warnings.push({
      code: 'views-differ',
      text: `Seen edge-on the piece is ${seen.toFixed(1)} mm long, in plan${aslant} ${long.toFixed(1)} mm: check the scale of both pictures, and that the piece stood upright on its edge.`,
    });
  }
  const y = new Float64Array(stations);
  const left = new Float64Array(stations);
  const right = new Float64Array(stations);
  const aslant = { thickness: new Float64Array(stations), middle: new Float64Array(stations) };
  const stretch = seen / long;
  for (let k = 0; k < stations; k++) {
    const share = k / (stations - 1);
    y[k] = share * length;
    // The very ends are points: a hair inside them the chord is what it tends to.
    const within = (stand.at(k) - stand.from) / long;
    const at = foot + seen * Math.min(1 - 1e-6, Math.max(1e-6, within));
    const chord = chordAt(chords, at);
    const rise = stand.rise(k);
    const raised = (across: number): number =>
      turned === undefined ? across : turned.x + placeOfSeen(across - turned.x, rise, turned.height);
    const [from, to] = [raised(chord?.left ?? 0), raised(chord?.right ?? 0)];
    const slant = turned === undefined ? 0 : ((from + to) / 2 - turned.x) / (turned.height - rise);
    const thick = thicknessAslant(to - from, midline.rightX[k] - midline.leftX[k], slant);
    left[k] = (from + to - thick.value) / 2;
    right[k] = (from + to + thick.value) / 2;
    aslant.thickness[k] = thick.u;
    aslant.middle[k] = thick.middle;
  }
  const { start, slope } = level(left, right);
  const faceA = side === 'left' ? right : left.map((v) => -v);
  const faceB = side === 'left' ? left : right.map((v) => -v);
  const own = (along: number): number => foot + (along - stand.from) * stretch;
  const frame: EdgeOnFrame = {
    side,
    turn,
    foot,
    top,
    base: own(stand.zero),
    tip: own(stand.zero + length),
    start,
    slope: (slope * (stations - 1)) / seen,
    ...(turned === undefined ? {} : { camera: turned }),
  };
  const slant = turned === undefined ? 0 : (start + (slope * (stations - 1)) / 2 - turned.x) / turned.height;
  // What is missing of the length may be missing at either end.
  const station = Math.hypot((seen - long) / Math.sqrt(3), Math.SQRT2 * quality.noise);
  return { edgeOn: { y, faceA, faceB, quality, station, slant, aslant }, frame, warnings };
}

function turnedCamera({ x, y, height }: CameraOver, turn: number): CameraOver {
  const [across, along] = alignRing(Float64Array.of(x, y), turn, 0);
  return { x: across, y: along, height };
}

/** The plan as it stands on its edge in a silhouette: where its stations are seen, and how far their middles rise over half its width. */
interface Standing extends LaidAlong {
  at(k: number): number;
  rise(k: number): number;
}

function standing(
  plan: StandingPlan,
  side: EdgeOnSide,
  [foot, top]: readonly [number, number],
  camera: CameraOver | undefined,
): Standing {
  const { outer, midline, length } = plan;
  const { y } = midline;
  const share = (k: number): number => (length * k) / (y.length - 1);
  if (camera === undefined) {
    return { zero: foot, from: foot, to: foot + length, at: (k) => foot + share(k), rise: () => 0 };
  }
  const rise = risesOf(plan, side);
  const along = outer.filter((_, i) => (i & 1) === 1);
  const across = outer.filter((_, i) => (i & 1) === 0);
  const laid = layAlong(along, across.map(rise), [foot, top], { foot: camera.y, height: camera.height });
  // What the plan shows beyond its own ends it shows of all between them, in proportion: as of a dome, which falls off to its rim.
  const middle = (k: number): number =>
    camera.y + seenAt(laid.zero + share(k) - camera.y, rise(midline.x[k]), camera.height);
  const last = y.length - 1;
  const [before, beyond] = [laid.from - middle(0), laid.to - middle(last)];
  return {
    ...laid,
    at: (k) => middle(k) + before * (1 - k / last) + beyond * (k / last),
    rise: (k) => rise(midline.x[k]),
  };
}

/** How far what lies at an x of the plan rises over half its width, when the piece stands on its other edge. */
function risesOf({ outer }: StandingPlan, side: EdgeOnSide): (x: number) => number {
  let [least, most] = [Infinity, -Infinity];
  for (let i = 0; i < outer.length; i += 2) {
    least = Math.min(least, outer[i]);
    most = Math.max(most, outer[i]);
  }
  const middle = (least + most) / 2;
  return side === 'left' ? (x) => middle - x : (x) => x - middle;
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

/**
 * What was seen from the left and from the right, which are the same silhouette mirrored, as one: their mean, in which the one
 * that was seen less aslant counts for more.
 */
export function meanEdgeOn(
  one: EdgeOn,
  other: EdgeOn,
): { readonly edgeOn: EdgeOn; readonly warnings: readonly Warning[] } {
  const [w, v] = weightsOf(one, other);
  const mean = (a: Float64Array, b: Float64Array): Float64Array => a.map((here, k) => w * here + v * b[k]);
  const thicknesses = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => top - faceB[k]);
  const middles = ({ faceA, faceB }: EdgeOn): Float64Array => faceA.map((top, k) => (top + faceB[k]) / 2);
  const first = thickest(one);
  const second = thickest(other);
  const thick = (first.value + second.value) / 2;
  const warnings: Warning[] = mirrorWarnings(one, other, thick);
  // Views more aslant than a piece leans by itself may differ by what their slants leave open.
  const straight = Math.max(Math.abs(one.slant), Math.abs(other.slant)) < Math.tan(LEANS);
  const open = straight ? 0 : 2 * Math.hypot(first.u, second.u);
  if (Math.abs(first.value - second.value) > Math.max(ALIKE_THICK * thick, open)) {
    warnings.push({
      code: 'views-differ',
      text: `Seen from the left the piece is ${first.value.toFixed(1)} mm thick, from the right ${second.value.toFixed(1)} mm: check the scale of both pictures.`,
    });
  }
  // Of a mean so weighted this is the standard deviation that its two parts tell.
  const spread = (a: Float64Array, b: Float64Array): Float64Array =>
    a.map((here, k) => Math.sqrt(w * v) * Math.abs(here - b[k]));
  const [p, q] = [one.quality, other.quality];
  const both = (a: number, b: number): number => Math.sqrt(w * a * a + v * b * b);
  const edgeOn: EdgeOn = {
    y: one.y,
    faceA: mean(one.faceA, other.faceA),
    faceB: mean(one.faceB, other.faceB),
    quality: {
      pixel: both(p.pixel, q.pixel),
      noise: Math.hypot(w * p.noise, v * q.noise),
      tracing: both(p.tracing, q.tracing),
      scale: both(p.scale, q.scale),
    },
    station: both(one.station, other.station),
    slant: w * Math.abs(one.slant) + v * Math.abs(other.slant),
    apart: {
      thickness: spread(thicknesses(one), thicknesses(other)),
      middle: spread(middles(one), middles(other)),
    },
    // One section is seen from both sides: what its form hides from the one it hides from the other.
    aslant: {
      thickness: mean(one.aslant.thickness, other.aslant.thickness),
      middle: mean(one.aslant.middle, other.aslant.middle),
    },
  };
  return { edgeOn, warnings };
}

/** Weights of two views, of sum 1: by how uncertain their slants leave the whole. */
function weightsOf(one: EdgeOn, other: EdgeOn): readonly [number, number] {
  const squares = (values: Float64Array): number => values.reduce((sum, value) => sum + value * value, 0);
  const [a, b] = [squares(one.aslant.thickness), squares(other.aslant.thickness)];
  return a + b > 0 ? [b / (a + b), a / (a + b)] : [0.5, 0.5];
}

/** The greatest thickness, what its slant leaves uncertain of it, and its station. */
export function thickest({ faceA, faceB, aslant }: EdgeOn): {
  readonly value: number;
  readonly u: number;
  readonly at: number;
} {
  let best = 0;
  for (let k = 1; k < faceA.length; k++) {
    if (faceA[k] - faceB[k] > faceA[best] - faceB[best]) best = k;
  }
  return { value: faceA[best] - faceB[best], u: aslant.thickness[best], at: best };
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
/** Rounds in which a place of it and how low the edge stands there are found from each other. */
const LOWERED = 6;

/**
 * An edge traced in a plane a whole width over what the piece stands on (mm) → heights over y in the frame of the piece,
 * from the base to the tip. `plan` gives the x of that side's margin at a y, and so how far it stands under that plane there.
 * Undefined where it is too short to be a line.
 */
export function layEdgeLine(
  line: Points2,
  { side, turn, base, tip, foot, start, slope, camera }: EdgeOnFrame,
  length: number,
  plan: (y: number) => number,
): Points3 | undefined {
  const n = line.length / 2;
  if (n < LEAST_LINE) return undefined;
  const aligned = alignRing(line, turn, 0);
  const upward = aligned[1] <= aligned[2 * n - 1];
  const towardsA = side === 'left' ? 1 : -1;
  const points = new Float64Array(3 * n);
  const yOf = (along: number): number => ((along - base) / (tip - base)) * length;
  let outermost = -Infinity;
  for (let i = 0; i < n; i++) outermost = Math.max(outermost, -towardsA * plan(yOf(aligned[2 * i + 1])));
  for (let i = 0; i < n; i++) {
    const at = 2 * (upward ? i : n - 1 - i);
    const [seenAcross, seenAlong] = [aligned[at], aligned[at + 1]];
    let [across, along] = [seenAcross, seenAlong];
    // Seen too far from the foot of the camera for one that stands higher than it does; how low it stands its own place tells.
    for (let round = 0; camera !== undefined && round < LOWERED; round++) {
      const under = -towardsA * plan(yOf(along)) - outermost;
      const top = camera.height - outermost;
      across = camera.x + placeOfSeen(seenAcross - camera.x, under, top);
      along = camera.y + placeOfSeen(seenAlong - camera.y, under, top);
    }
    const y = yOf(along);
    points[3 * i] = plan(y);
    points[3 * i + 1] = y;
    points[3 * i + 2] = towardsA * (across - start - slope * (along - foot));
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
