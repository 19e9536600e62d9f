import { clearance, type PlanGrid, visitNear } from './planGrid.ts';
import { NO_TWIN, type TriangleMesh, type Twins } from './types.ts';

/**
 * A plane with two axes in it, for cutting a mesh near one of its points.
 * Twelve numbers: origin, normal t, axis u, axis w; t, u, w of unit length and at right angles.
 */
export type CutPlane = Float64Array;

export function setCutPlane(
  plane: CutPlane,
  origin: ArrayLike<number>,
  t: ArrayLike<number>,
  u: ArrayLike<number>,
  w: ArrayLike<number>,
): CutPlane {
  for (let k = 0; k < 3; k++) {
    plane[k] = origin[k];
    plane[3 + k] = t[k];
    plane[6 + k] = u[k];
    plane[9 + k] = w[k];
  }
  return plane;
}

/** Where a plane's cut through the mesh passes nearest to the plane's origin. */
export interface CutStart {
  /** Triangle number. */
  readonly triangle: number;
  /** In-plane coordinates of the nearest point, and its distance from the origin. */
  readonly u: number;
  readonly w: number;
  readonly distance: number;
}

/** One branch of a cut, from its start onwards. */
export interface CutArm {
  /** Interleaved u w pairs; only the first `count` are in use. Grows as needed. */
  points: Float64Array;
  count: number;
  /** The branch ended at a rim of the mesh, before it went as far as asked. */
  rim: boolean;
}

export function cutArm(): CutArm {
  return { points: new Float64Array(256), count: 0, rim: false };
}

/**
 * Finds the triangle whose cut by the plane comes nearest to the plane's origin, ring by ring of the grid's cells until
 * nothing farther out can be nearer. Null where no listed triangle within `rings` cells is cut.
 */
export function findCutStart(
  mesh: TriangleMesh,
  grid: PlanGrid,
  plane: CutPlane,
  rings: number,
): CutStart | null {
  let best: CutStart | null = null;
  const segment = new Float64Array(4);
  for (let ring = 0; ring <= rings; ring++) {
    visitNear(grid, plane[0], plane[1], ring, (triangle) => {
      if (!cutTriangle(mesh, plane, triangle, segment)) return;
      const f = nearestToOrigin(segment);
      const u = segment[0] + f * (segment[2] - segment[0]);
      const w = segment[1] + f * (segment[3] - segment[1]);
      const distance = Math.hypot(u, w);
      if (best === null || distance < best.distance) best = { triangle, u, w, distance };
    });
    if (best !== null && (best as CutStart).distance <= clearance(grid, plane[0], plane[1], ring)) break;
  }
  return best;
}

/** Which share of the way along a segment [u w u w] its point nearest to the origin lies. */
function nearestToOrigin(segment: Float64Array): number {
  const au = segment[0];
  const aw = segment[1];
  const du = segment[2] - au;
  const dw = segment[3] - aw;
  const dd = du * du + dw * dw;
  return dd > 0 ? Math.min(1, Math.max(0, -(au * du + aw * dw) / dd)) : 0;
}

/**
 * Writes the cut of one triangle as [u w u w], from the edge that rises through the plane to the one that falls
 * through it; false if the plane misses the triangle. A corner in the plane counts as above it, so that every triangle
 * is cut through two edges or through none and cuts of neighbours always join.
 */
export function cutTriangle(
  mesh: TriangleMesh,
  plane: CutPlane,
  triangle: number,
  out: Float64Array,
): boolean {
  const { positions, triangles } = mesh;
  const h0 = height(positions, plane, triangles[3 * triangle]);
  const h1 = height(positions, plane, triangles[3 * triangle + 1]);
  const h2 = height(positions, plane, triangles[3 * triangle + 2]);
  const above = Number(h0 >= 0) + Number(h1 >= 0) + Number(h2 >= 0);
  if (above === 0 || above === 3) return false;
  crossing(mesh, plane, 3 * triangle + crossingCorner(h0, h1, h2, false), out, 0);
  crossing(mesh, plane, 3 * triangle + crossingCorner(h0, h1, h2, true), out, 2);
  return true;
}

/**
 * Follows the cut from `start` over the mesh's half-edges until u exceeds `reach`, the mesh ends, the cut closes, or
 * the way is longer than four times `reach`. Which way: `forward` goes along n × t (n the outward normal, t the plane's
 * normal), backward against it. Writes to `arm` and returns it; its first point is the start.
 */
export function walkCut(
  mesh: TriangleMesh,
  twins: Twins,
  plane: CutPlane,
  start: CutStart,
  forward: boolean,
  reach: number,
  arm: CutArm,
): CutArm {
  const { positions, triangles } = mesh;
  const first = 3 * start.triangle;
  let edge =
    first +
    crossingCorner(
      height(positions, plane, triangles[first]),
      height(positions, plane, triangles[first + 1]),
      height(positions, plane, triangles[first + 2]),
      forward,
    );
  // The two ends of the crossed edge and the newest corner, as [height above the plane, u, w] at 0, 3 and 6.
  const local = new Float64Array(9);
  toPlane(positions, plane, triangles[edge], local, 0);
  toPlane(positions, plane, triangles[nextCorner(edge)], local, 3);
  arm.count = 0;
  arm.rim = false;
  push(arm, start.u, start.w);
  let u = start.u;
  let w = start.w;
  let way = 0;
  for (;;) {
    const f = local[0] / (local[0] - local[3]);
    const nextU = local[1] + f * (local[4] - local[1]);
    const nextW = local[2] + f * (local[5] - local[2]);
    way += Math.abs(nextU - u) + Math.abs(nextW - w);
    u = nextU;
    w = nextW;
    push(arm, u, w);
    if (u > reach || way > 4 * reach) return arm;
    const twin = twins[edge];
    if (twin === NO_TWIN) {
      arm.rim = true;
      return arm;
    }
    if (twin >= first && twin < first + 3) return arm;
    // The twin runs b → a; the third corner o decides whether the cut leaves through a → o or through o → b.
    const afterTwin = nextCorner(twin);
    const opposite = nextCorner(afterTwin);
    toPlane(positions, plane, triangles[opposite], local, 6);
    const staysOnA = local[6] >= 0 === local[0] >= 0;
    edge = staysOnA ? opposite : afterTwin;
    const replaced = staysOnA ? 0 : 3;
    local[replaced] = local[6];
    local[replaced + 1] = local[7];
    local[replaced + 2] = local[8];
  }
}

/** Writes [height above the plane, u, w] of a vertex. */
function toPlane(
  positions: Float64Array,
  plane: CutPlane,
  vertex: number,
  out: Float64Array,
  at: number,
): void {
  const x = positions[3 * vertex] - plane[0];
  const y = positions[3 * vertex + 1] - plane[1];
  const z = positions[3 * vertex + 2] - plane[2];
  out[at] = plane[3] * x + plane[4] * y + plane[5] * z;
  out[at + 1] = plane[6] * x + plane[7] * y + plane[8] * z;
  out[at + 2] = plane[9] * x + plane[10] * y + plane[11] * z;
}

/** The `| 0` keeps the remainder in whole numbers, ten times as fast as the one of floating-point numbers. */
function nextCorner(halfEdge: number): number {
  return (halfEdge | 0) % 3 === 2 ? halfEdge - 2 : halfEdge + 1;
}

function height(positions: Float64Array, plane: CutPlane, vertex: number): number {
  const i = 3 * vertex;
  return (
    plane[3] * (positions[i] - plane[0]) +
    plane[4] * (positions[i + 1] - plane[1]) +
    plane[5] * (positions[i + 2] - plane[2])
  );
}

/** Which edge of a cut triangle falls through the plane (or rises through it): the number of its first corner. */
function crossingCorner(h0: number, h1: number, h2: number, falling: boolean): number {
  const a0 = h0 >= 0;
  const a1 = h1 >= 0;
  const a2 = h2 >= 0;
  if (a0 === falling && a1 !== falling) return 0;
  if (a1 === falling && a2 !== falling) return 1;
  return 2;
}

function crossing(
  mesh: TriangleMesh,
  plane: CutPlane,
  halfEdge: number,
  out: Float64Array,
  at: number,
): void {
  const { positions, triangles } = mesh;
  const a = triangles[halfEdge];
  const b = triangles[nextCorner(halfEdge)];
  const ah = height(positions, plane, a);
  const bh = height(positions, plane, b);
  const f = ah / (ah - bh);
  let u = 0;
  let w = 0;
  for (let k = 0; k < 3; k++) {
    const d = positions[3 * a + k] + f * (positions[3 * b + k] - positions[3 * a + k]) - plane[k];
    u += plane[6 + k] * d;
    w += plane[9 + k] * d;
  }
  out[at] = u;
  out[at + 1] = w;
}

function push(arm: CutArm, u: number, w: number): void {
  if (2 * arm.count === arm.points.length) {
    const grown = new Float64Array(2 * arm.points.length);
    grown.set(arm.points);
    arm.points = grown;
  }
  arm.points[2 * arm.count] = u;
  arm.points[2 * arm.count + 1] = w;
  arm.count++;
}
