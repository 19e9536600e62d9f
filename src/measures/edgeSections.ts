import { arcDistance, pointAt, tangentAt } from '../geometry/closedCurve.ts';
import {
  type CutArm,
  type CutPlane,
  cutArm,
  findCutStart,
  setCutPlane,
  walkCut,
} from '../geometry/localSection.ts';
import { type PlanGrid, planGridNear } from '../geometry/planGrid.ts';
import {
  addCentred,
  addSegmentInRing,
  fitLine,
  type SegmentMoments,
  segmentMoments,
} from '../geometry/totalLeastSquares.ts';
import type { MarginLine, Surface } from '../trace/types.ts';

/** Offsets along the margin (mm) of the planes that are cut for one edge point, and how many there are. */
const SLAB = 0.5;
const PLANES = 5;
/** Half the stretch of margin (mm) over which a tangent is fitted; less beside a sharp corner. */
const TANGENT_REACH = 1.5;
/** A cut must lie this near the margin line (mm) to be taken as its own. */
const FARTHEST_CUT = 0.5;

/** What cutting needs to know of a piece; made once. */
export interface EdgeCutter {
  readonly surface: Surface;
  readonly margin: MarginLine;
  readonly grid: PlanGrid;
  readonly rings: number;
  /** Arc lengths of sharp corners: tangents aren't fitted across them. */
  readonly corners: Float64Array;
  readonly planes: CutPlane[];
  readonly armsA: CutArm[];
  readonly armsB: CutArm[];
}

/** One face as seen in the planes of an edge point, u inward and w to Face A's side. */
export interface FaceFit {
  /** Direction of the face away from the edge, counter-clockwise from u, radians. */
  readonly inward: number;
  /** Variance of the surface along its line and across it, mm². */
  readonly along: number;
  readonly across: number;
  /** Length of all cuts within the ring, mm; and as a share of a straight face seen in every plane. */
  readonly length: number;
  readonly share: number;
  /** Turn from the farther to the nearer half of the ring, counter-clockwise, radians; NaN where a half is empty. */
  readonly bend: number;
  /** Distance of the face, carried on to the edge with the bend that it has in the ring, from the edge: counter-clockwise of `inward`, mm. */
  readonly offset: number;
}

export interface EdgeSection {
  readonly faceA: FaceFit;
  readonly faceB: FaceFit;
}

/**
 * How far outward of the edge the two faces, carried on, would meet, mm along their bisector: above zero where the edge is
 * worn or was rounded by whatever made the scan. NaN where a half of the ring is empty.
 * @param angle from Face B to Face A, radians, above 0
 */
export function meetingBeyond({ faceA, faceB }: EdgeSection, angle: number): number {
  // n·p = offset for both, n square to `inward`; along the bisector both lie half the angle off.
  return (faceA.offset - faceB.offset) / (2 * Math.sin(angle / 2));
}

export function edgeCutter(
  surface: Surface,
  margin: MarginLine,
  corners: Float64Array,
  meanEdge: number,
): EdgeCutter {
  // Cells of about three triangles: few candidates each, and one ring of cells nearly always holds the cut.
  const cell = Math.max(3 * meanEdge, 0.05);
  const rings = Math.max(1, Math.round(FARTHEST_CUT / cell));
  return {
    surface,
    margin,
    grid: planGridNear(surface.mesh, margin.points, cell, rings),
    rings,
    corners,
    planes: Array.from({ length: PLANES }, () => new Float64Array(12)),
    armsA: Array.from({ length: PLANES }, cutArm),
    armsB: Array.from({ length: PLANES }, cutArm),
  };
}

const origin = new Float64Array(3);
const tangent = new Float64Array(3);
const inward = new Float64Array(3);
const upward = new Float64Array(3);

/**
 * Plane square to the margin at arc length `s`: origin on the margin, t along it, u level and inward, w = u × t to the
 * side of Face A. The margin runs clockwise seen on Face A, so inward is to the right of its run.
 */
export function edgePlane(cutter: EdgeCutter, s: number, plane: CutPlane): CutPlane {
  const { margin, corners } = cutter;
  let half = TANGENT_REACH;
  for (const corner of corners) half = Math.min(half, arcDistance(s, corner, margin.length));
  pointAt(margin, s, origin);
  tangentAt(margin, s, Math.max(half, SLAB / 2), tangent);
  const level = Math.hypot(tangent[0], tangent[1]);
  // A margin that runs straight up has no level inward side; any will do, the angle doesn't depend on it.
  inward[0] = level > 1e-9 ? tangent[1] / level : 1;
  inward[1] = level > 1e-9 ? -tangent[0] / level : 0;
  inward[2] = 0;
  upward[0] = inward[1] * tangent[2];
  upward[1] = -inward[0] * tangent[2];
  upward[2] = inward[0] * tangent[1] - inward[1] * tangent[0];
  return setCutPlane(plane, origin, tangent, inward, upward);
}

/**
 * Half the width of the plan square to the margin at `s`: half the way from the margin inward to where the plan ends.
 * O(margin points).
 */
export function halfWidthAt(cutter: EdgeCutter, s: number): number {
  const { points, length, arc } = cutter.margin;
  const plane = edgePlane(cutter, s, cutter.planes[0]);
  const px = plane[0];
  const py = plane[1];
  const ux = plane[6];
  const uy = plane[7];
  const n = points.length / 3;
  let nearest = Infinity;
  let ax = points[0] - px;
  let ay = points[1] - py;
  for (let i = 0; i < n; i++) {
    const j = 3 * ((i + 1) % n);
    const bx = points[j] - px;
    const by = points[j + 1] - py;
    // Across the ray, positive to its left. Where the clockwise margin passes from left to right the ray leaves.
    const a = ux * ay - uy * ax;
    const b = ux * by - uy * bx;
    if (a >= 0 && b < 0) {
      const f = a / (a - b);
      const place = arc[i] + f * ((i + 1 < n ? arc[i + 1] : length) - arc[i]);
      const d = ux * (ax + f * (bx - ax)) + uy * (ay + f * (by - ay));
      if (d > 0 && d < nearest && arcDistance(place, s, length) > SLAB) nearest = d;
    }
    ax = bx;
    ay = by;
  }
  return Number.isFinite(nearest) ? nearest / 2 : 0;
}

/** Length of margin (mm) whose surface tells of one edge point: vertices half a triangle beyond the outer planes still pull at them. */
export function stripWidth(meanEdge: number): number {
  return 2 * SLAB + meanEdge / 2;
}

/** About how many vertices lie in the strip of a face that was cut: `length` is that of all its cuts together. */
export function verticesCut(length: number, meanEdge: number): number {
  return ((length / PLANES) * stripWidth(meanEdge)) / ((Math.sqrt(3) / 2) * meanEdge * meanEdge);
}

/**
 * Cuts the surface by PLANES planes over s ± SLAB, follows each cut from the margin over both faces past the ring (the
 * middle plane's until it is `deepest` deep), and fits one direction to each face between `inner` and `outer` from the
 * edge. Every plane keeps its own edge point, so that an edge that winds within the slab doesn't thicken the faces.
 * Null if no plane is met.
 */
export function cutEdge(
  cutter: EdgeCutter,
  s: number,
  inner: number,
  outer: number,
  deepest: number,
): EdgeSection | null {
  const { surface, grid, rings, planes, armsA, armsB } = cutter;
  const a = new FaceSums();
  const b = new FaceSums();
  const middle = (inner + outer) / 2;
  let met = false;
  for (let k = 0; k < PLANES; k++) {
    const plane = edgePlane(cutter, s + ((2 * k) / (PLANES - 1) - 1) * SLAB, planes[k]);
    armsA[k].count = 0;
    armsB[k].count = 0;
    const start = findCutStart(surface.mesh, grid, plane, rings);
    if (start === null || start.distance > FARTHEST_CUT) continue;
    met = true;
    const reach = 1.2 * (2 * k === PLANES - 1 ? Math.max(outer, deepest) : outer);
    // Along n × t the cut comes from Face A, rounds the edge and goes on over Face B.
    walkCut(surface.mesh, surface.twins, plane, start, false, reach, armsA[k]);
    walkCut(surface.mesh, surface.twins, plane, start, true, reach, armsB[k]);
    a.add(armsA[k], inner, middle, outer);
    b.add(armsB[k], inner, middle, outer);
  }
  if (!met) return null;
  const full = PLANES * (outer - inner);
  return { faceA: a.fit(full, inner, outer), faceB: b.fit(full, inner, outer) };
}

/** Moments of one face over all planes of an edge point: of the ring, and of its nearer and farther half. */
class FaceSums {
  private readonly whole = segmentMoments();
  private readonly near = segmentMoments();
  private readonly far = segmentMoments();
  /** First moments about the edge: which way the face lies. */
  private u = 0;
  private w = 0;

  add(arm: CutArm, inner: number, middle: number, outer: number): void {
    const near = ringMoments(arm, inner, middle);
    const far = ringMoments(arm, middle, outer);
    addCentred(this.near, near);
    addCentred(this.far, far);
    for (let k = 0; k < near.length; k++) near[k] += far[k];
    addCentred(this.whole, near);
    this.u += near[1];
    this.w += near[2];
  }

  /** @param full length of a straight face seen in every plane */
  fit(full: number, inner: number, outer: number): FaceFit {
    const { direction, along, across, length } = fitLine(this.whole);
    const isInward = this.u * Math.cos(direction) + this.w * Math.sin(direction) >= 0;
    const inward = isInward ? direction : direction + Math.PI;
    const turn = fitLine(this.near).direction - fitLine(this.far).direction;
    const bend = turn - Math.PI * Math.round(turn / Math.PI);
    const u = this.u / this.whole[0];
    const w = this.w / this.whole[0];
    // Of v = a + b·d + c·d² over middle ± half a line has c·(half²/3 − middle²) too much at d = 0; the halves' slopes differ by 2c·half.
    const middle = (inner + outer) / 2;
    const half = (outer - inner) / 2;
    const bent = (bend / (2 * half)) * (half ** 2 / 3 - middle ** 2);
    return {
      inward,
      along,
      across,
      length,
      share: length / full,
      bend,
      offset: w * Math.cos(inward) - u * Math.sin(inward) + bent,
    };
  }
}

/** Moments of the arm's parts between `inner` and `outer` from the edge, up to where it first leaves `outer`. */
function ringMoments(arm: CutArm, inner: number, outer: number): SegmentMoments {
  const moments = segmentMoments();
  const { points, count } = arm;
  for (let i = 1; i < count; i++) {
    const bu = points[2 * i];
    const bw = points[2 * i + 1];
    addSegmentInRing(moments, points[2 * i - 2], points[2 * i - 1], bu, bw, inner, outer);
    if (bu * bu + bw * bw > outer * outer) break;
  }
  return moments;
}

/**
 * Thickness square to the bisector at depth `depth` along it, mean over those of the planes cut last that go so deep on
 * both faces; NaN where none does.
 * @param bisector angle of the bisector against u, radians
 */
export function thicknessAtDepth(cutter: EdgeCutter, bisector: number, depth: number): number {
  const c = Math.cos(bisector);
  const s = Math.sin(bisector);
  let sum = 0;
  let found = 0;
  for (let k = 0; k < PLANES; k++) {
    const a = heightAtDepth(cutter.armsA[k], c, s, depth);
    const b = heightAtDepth(cutter.armsB[k], c, s, depth);
    if (Number.isNaN(a - b)) continue;
    sum += a - b;
    found++;
  }
  return found > 0 ? sum / found : NaN;
}

/** Where the arm first gets `depth` deep along (c, s): its height above that line there; NaN if it never does. */
function heightAtDepth(arm: CutArm, c: number, s: number, depth: number): number {
  const { points, count } = arm;
  let before = -Infinity;
  for (let i = 0; i < count; i++) {
    const u = points[2 * i];
    const w = points[2 * i + 1];
    const d = u * c + w * s;
    if (d >= depth) {
      const h = w * c - u * s;
      if (i === 0) return h;
      const f = (depth - before) / (d - before);
      const beforeH = points[2 * i - 1] * c - points[2 * i - 2] * s;
      return beforeH + f * (h - beforeH);
    }
    before = d;
  }
  return NaN;
}
