import { arcDistance, formPlace, indexAt, pointAt, sharpCorners, wrapArc } from '../geometry/closedCurve.ts';
import { type MarginLine, type Model, SIDES, type Side } from '../trace/types.ts';
import {
  cutEdge,
  type EdgeCutter,
  type EdgeSection,
  edgeCutter,
  type FaceFit,
  halfWidthAt,
  meetingBeyond,
  thicknessAtDepth,
  verticesCut,
} from './edgeSections.ts';
import { isOnBreak, leftOutAt } from './stretches.ts';
import type { MeasureSettings } from './types.ts';

/** Depths of the caliper angle, mm. */
export const CALIPER_DEPTHS = [2, 5, 10] as const;

/** A corner is sharp where the margin turns by more than this (radians) over CORNER_REACH mm to either side. */
const CORNER_TURN = (50 * Math.PI) / 180;
const CORNER_REACH = 1;
/** The ring in which faces are fitted must be at least this wide (mm), and so many mean triangle edges; */
const LEAST_RING = 0.5;
const LEAST_TRIANGLES = 2;
/** this share of it must hold surface on each face. */
const LEAST_SHARE = 0.5;

export const NO_ANGLE = {
  valid: '',
  break: 'on a marked break',
  corner: 'at a sharp corner of the margin',
  narrow: 'too narrow here to fit the faces',
  missed: 'no surface at the margin',
  faceA: 'too little surface on Face A',
  faceB: 'too little surface on Face B',
  crossed: 'the fitted faces do not close to an edge',
} as const;
/** Where a stretch is left out by hand, the reason is that of who did so. */
export type NoAngle = (typeof NO_ANGLE)[keyof typeof NO_ANGLE] | `left out: ${string}`;

/** Edge angles round the margin, one entry for each place. Lengths in mm, angles in degrees; NaN where there is none. */
export interface EdgeAngles {
  readonly count: number;
  readonly arc: Float64Array;
  readonly side: readonly Side[];
  readonly station: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly angle: Float64Array;
  /** One column for each of CALIPER_DEPTHS. */
  readonly caliper: readonly Float64Array[];
  /** Standard uncertainty of each angle from the scatter of the surface about the fitted lines. */
  readonly noise: Float64Array;
  /** Change of the angle for one mm of shift of the fitted span, from the bend of the faces within it. */
  readonly gradient: Float64Array;
  /** How far outward of the margin the two faces, carried on, would meet. */
  readonly beyond: Float64Array;
  readonly reason: readonly NoAngle[];
}

/** A margin of many metres (or a wrong unit) is sampled this often at most. */
const MOST_PLACES = 5000;

/**
 * Edge angle and caliper angles at places about every `settings.edgeSpacing` round the margin, clockwise from the tip. Where
 * they lie is decided by the margin's own form, so that they are the same places whichever end is the tip, whichever face
 * is A and along whatever axis the piece lies. O(triangles) to index the surface near the margin, then O(places × length of a cut).
 */
export function computeEdgeAngles(model: Model, settings: MeasureSettings): EdgeAngles {
  const { surface, margin, quality } = model;
  if (surface === undefined || margin === undefined) throw new Error('edge angles need a scanned surface');
  // An even number: the same places from either end.
  const count =
    2 * Math.min(MOST_PLACES / 2, Math.max(1, Math.round(margin.length / settings.edgeSpacing / 2)));
  const step = margin.length / count;
  const first = wrapArc(formPlace(margin) + step / 2, step);
  const table = emptyTable(count);
  const corners = sharpCorners(margin, CORNER_REACH, CORNER_TURN);
  const cutter = edgeCutter(surface, margin, corners, quality.meanEdge);
  const point = new Float64Array(3);
  for (let i = 0; i < count; i++) {
    const s = first + i * step;
    pointAt(margin, s, point);
    table.arc[i] = s;
    [table.x[i], table.y[i], table.z[i]] = point;
    table.station[i] = (100 * point[1]) / model.length;
    table.side.push(sideAt(margin, s));
    table.reason.push(measurePlace(cutter, settings, table, i, quality.meanEdge));
  }
  return table;
}

type Table = ReturnType<typeof emptyTable>;

function emptyTable(count: number) {
  const column = (fill = 0): Float64Array => new Float64Array(count).fill(fill);
  const side: Side[] = [];
  const reason: NoAngle[] = [];
  return {
    count,
    arc: column(),
    side,
    station: column(),
    x: column(),
    y: column(),
    z: column(),
    angle: column(NaN),
    caliper: CALIPER_DEPTHS.map(() => column(NaN)),
    noise: column(NaN),
    gradient: column(NaN),
    beyond: column(NaN),
    reason,
  };
}

/** Fills row `i` and returns why there is no angle, or `valid`. */
function measurePlace(
  cutter: EdgeCutter,
  settings: MeasureSettings,
  table: Table,
  i: number,
  meanEdge: number,
): NoAngle {
  const { margin, corners } = cutter;
  const s = table.arc[i];
  if (isOnBreak(s, settings.breaks)) return NO_ANGLE.break;
  const leftOut = leftOutAt(s, settings);
  if (leftOut !== undefined) return `left out: ${leftOut}`;
  if (corners.some((corner) => arcDistance(s, corner, margin.length) < CORNER_REACH)) return NO_ANGLE.corner;
  const half = halfWidthAt(cutter, s);
  const inner = settings.edgeInner;
  const outer = Math.min(settings.edgeOuter, settings.edgeCap * half);
  if (outer - inner < Math.max(LEAST_RING, LEAST_TRIANGLES * meanEdge)) return NO_ANGLE.narrow;
  const deepest = Math.min(half, CALIPER_DEPTHS[CALIPER_DEPTHS.length - 1]);
  const section = cutEdge(cutter, s, inner, outer, deepest);
  if (section === null) return NO_ANGLE.missed;
  const { faceA, faceB } = section;
  if (faceA.share < LEAST_SHARE) return NO_ANGLE.faceA;
  if (faceB.share < LEAST_SHARE) return NO_ANGLE.faceB;
  // Counter-clockwise from Face B to Face A, in (−90°, 270°]: solid stone lies between them.
  const angle = wrapAngle(faceA.inward - faceB.inward);
  if (angle <= 0) return NO_ANGLE.crossed;
  table.angle[i] = degrees(angle);
  table.noise[i] = degrees(directionNoise(section, meanEdge));
  table.gradient[i] = degrees(faceA.bend - faceB.bend) / ((outer - inner) / 2);
  table.beyond[i] = meetingBeyond(section, angle);
  CALIPER_DEPTHS.forEach((depth, k) => {
    if (depth > half) return;
    const thickness = thicknessAtDepth(cutter, faceB.inward + angle / 2, depth);
    if (thickness > 0) table.caliper[k][i] = degrees(2 * Math.atan(thickness / (2 * depth)));
  });
  return NO_ANGLE.valid;
}

/** Between −90° and 270°, radians. */
function wrapAngle(angle: number): number {
  const turn = 2 * Math.PI;
  const shifted = angle + Math.PI / 2;
  return shifted - turn * Math.floor(shifted / turn) - Math.PI / 2;
}

function degrees(radians: number): number {
  return (radians * 180) / Math.PI;
}

/**
 * Standard uncertainty of the angle (radians) from the scatter of each face about its line. The variance of a fitted
 * direction is (variance of a vertex) / (variance along × number of vertices). Between vertices the noise is
 * interpolated: over a triangle its mean square is half that of a vertex, hence the factor 2.
 */
function directionNoise(section: EdgeSection, meanEdge: number): number {
  const { faceA, faceB } = section;
  const variance = (face: FaceFit): number =>
    (2 * face.across) / (face.along * Math.max(2, verticesCut(face.length, meanEdge)));
  return Math.sqrt(variance(faceA) + variance(faceB));
}

function sideAt(margin: MarginLine, s: number): Side {
  const i = indexAt(margin, wrapArc(s, margin.length));
  const j = (i + 1) % margin.arc.length;
  const end = j === 0 ? margin.length : margin.arc[j];
  return SIDES[margin.side[2 * s < margin.arc[i] + end ? i : j]];
}
