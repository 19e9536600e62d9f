import { chordAt, indexChords } from '../geometry/polygonChords.ts';
import { alignRing, areaBelow, majorAxis, polygonMoments, rangeY } from '../geometry/polygonMoments.ts';
import type { Points2, Points3, Warning } from '../geometry/types.ts';
import { type CameraOver, placeOfSeen, thicknessAslant } from './aslant.ts';
import { type EdgeOnSide, type StandingPlan, standing } from './standing.ts';
import type { EdgeOn, ViewQuality } from './types.ts';

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
